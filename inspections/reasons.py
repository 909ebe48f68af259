"""The reasons of a verdict by what they are about.

As numbers: of flags Python makes a new one with each comparison.
"""

from movement.results import Reason

RESIDUAL_OUT = int(Reason.RESIDUAL_OUT)
RESIDUAL = int(Reason.RESIDUAL_WATCH | Reason.RESIDUAL_OUT)
NEAR = int(Reason.NEAR_LIMIT_NOW | Reason.NEAR_LIMIT_AT_MIN | Reason.NEAR_LIMIT_AT_MAX)
PAST = int(Reason.PAST_LIMIT_NOW | Reason.PAST_LIMIT_AT_MIN | Reason.PAST_LIMIT_AT_MAX)
