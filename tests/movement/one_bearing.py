"""One bearing whose numbers can be checked in the head, to be altered by each test.

131,072 mm of steel at 2^-17 /degC move 1 mm per degC, exactly in binary as well, so that
thresholds can be met exactly.  Set at 0 mm at 16 degC; limits +/-100 mm; designed for
-24 to 56 degC, which is +/-40 mm; the only uncertainty is 1 mm of the reading.
"""

import math

from movement.inputs import DesignExtremes, Limits, Measured, Setting, Sides, Thresholds
from movement.results import Judgement, Reason, Verdict
from movement.verdict import judge

NAN = math.nan
LEVER_MM = 131_072.0
EXPANSION_PER_C = 2.0**-17
AS_SET_C = 16.0


def judge_bearing(
    *,
    value=0.0,
    u_value=1.0,
    temperature_c=AS_SET_C,
    u_temperature_k=0.0,
    lever=LEVER_MM,
    expansion_per_c=EXPANSION_PER_C,
    shortening=0.0,
    u_lever=0.0,
    u_expansion_per_c=0.0,
    u_shortening=0.0,
    set_at=0.0,
    set_at_c=AS_SET_C,
    u_set_at=0.0,
    u_set_at_k=0.0,
    lower=-100.0,
    upper=100.0,
    neutral=0.0,
    design_min_c=-24.0,
    design_max_c=56.0,
    thresholds=None,
    is_baseline=False,
    temperature_correlation=1.0,
) -> Judgement:
    """Judge it as it is described above, but for what the test alters."""
    return judge(
        Sides.of(lever, expansion_per_c, shortening, u_lever, u_expansion_per_c, u_shortening),
        Setting.of(set_at, set_at_c, u_set_at, u_set_at_k),
        Measured.of(value, temperature_c, u_value, u_temperature_k),
        Limits.of(lower, upper, neutral),
        DesignExtremes.of(design_min_c, design_max_c),
        thresholds or Thresholds(),
        is_baseline,
        temperature_correlation=temperature_correlation,
    )


def verdict_and_reasons(judgement: Judgement) -> tuple[Verdict, Reason]:
    """Return the one verdict of a judgement with its reasons."""
    return Verdict(judgement.verdict.item()), Reason(judgement.reasons.item())
