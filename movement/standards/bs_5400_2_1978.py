"""BS 5400-2:1978 and BD 37: coefficient and factors of thermal movement, for older UK decks.

Coefficient 12e-6 and the factors 1.3 and 1.1 read in a worked example of BD 30; limestone and
the serviceability factor from memory (high).  The tables that turn shade air into effective
temperature by group are not held: enter the extremes with their source.
"""

from __future__ import annotations

from enum import StrEnum

EXPANSION_PER_C = 12e-6  # steel and concrete alike
EXPANSION_LIMESTONE_PER_C = 9e-6  # concrete with limestone aggregate
GAMMA_F3 = 1.1


class LimitState(StrEnum):
    """Limit states of BS 5400."""

    ULTIMATE = "ultimate"
    SERVICEABILITY = "serviceability"


GAMMA_FL = {LimitState.ULTIMATE: 1.3, LimitState.SERVICEABILITY: 1.0}


def movement_factor(limit_state: LimitState) -> float:
    """Factor on a design movement, gamma_fL gamma_f3; never on one compared with a reading."""
    return GAMMA_FL[LimitState(limit_state)] * GAMMA_F3
