"""Washington State DOT, Bridge Design Manual, chapter 9.1: two expansion joint examples.

Also in J. Dornsife, Bridge Engineering Handbook, chapter 25.  Compression seal: from
memory, high confidence, recomputed.  Strip seal: from memory, medium confidence,
recomputed.  All figures are given to 0.01 in, hence the tolerance of half of that.
"""

import numpy as np
import pytest

from movement.expected import expected_line, predict
from movement.inputs import DesignExtremes, Limits, Measured, Setting, Thresholds
from movement.results import Reason, Verdict
from movement.thermal_range import length_change
from movement.verdict import judge
from tests.published.joint_at_abutment import gap_sides, racking_sides
from tests.published.source_units import MM_PER_FT, MM_PER_IN, celsius, per_celsius

ROUNDING_IN = 0.005
AT_F = [40.0, 64.0, 80.0]
BASE_F = 64.0


def gaps_in(sides, set_in: float) -> np.ndarray:
    """Return the expected gap [in] at 40, 64 and 80 degF of a joint set at 64 degF."""
    setting = Setting.of(set_in * MM_PER_IN, celsius(BASE_F))
    readings = Measured.of(np.full(3, np.nan), [celsius(each) for each in AT_F])
    return predict(sides, setting, readings).expected / MM_PER_IN


def travel_in(sides, low_f: float, high_f: float) -> float:
    """Return how much smaller the quantity is at the high than at the low temperature [in]."""
    line = expected_line(sides, Setting.of(0.0, celsius(BASE_F)))
    return float(line.value(celsius(low_f)) - line.value(celsius(high_f))) / MM_PER_IN


class TestCompressionSealOfAConcreteBox:
    """200 ft, half to each end, skew 15, 0 to 100 degF, 6e-6/F, shrinkage 2e-4 x 0.8."""

    length_mm = 100.0 * MM_PER_FT
    per_c = per_celsius(6e-6)
    shrinkage = 2e-4 * 0.8
    skew_deg = 15.0

    def test_thermal_movement_and_shrinkage_add_up(self):
        thermal = length_change(self.per_c, self.length_mm, celsius(100.0) - celsius(0.0))
        assert float(thermal) / MM_PER_IN == pytest.approx(0.72, abs=ROUNDING_IN)
        setting = Setting.of(0.0, celsius(BASE_F))
        shrunk, before = (
            expected_line(gap_sides(self.length_mm, self.per_c, 0.0, each), setting)
            for each in (self.shrinkage, 0.0)
        )
        opening = float(shrunk.value(celsius(BASE_F))) / MM_PER_IN
        assert opening == pytest.approx(0.19, abs=ROUNDING_IN)
        total = float(shrunk.value(celsius(0.0)) - before.value(celsius(100.0))) / MM_PER_IN
        assert total == pytest.approx(0.91, abs=ROUNDING_IN)

    def test_the_sum_splits_into_normal_and_parallel_movement(self):
        setting = Setting.of(0.0, celsius(BASE_F))

        def between_extremes(sides_of) -> float:
            cold, hot = (
                expected_line(sides_of(self.length_mm, self.per_c, self.skew_deg, each), setting)
                for each in (self.shrinkage, 0.0)
            )
            return float(cold.value(celsius(0.0)) - hot.value(celsius(100.0))) / MM_PER_IN

        assert between_extremes(gap_sides) == pytest.approx(0.88, abs=ROUNDING_IN)
        assert between_extremes(racking_sides) == pytest.approx(-0.24, abs=ROUNDING_IN)

    def test_gaps_at_three_temperatures(self):
        sides = gap_sides(self.length_mm, self.per_c, self.skew_deg)
        assert gaps_in(sides, 1.20) == pytest.approx([1.37, 1.20, 1.09], abs=ROUNDING_IN)


class TestStripSealOfASteelGirder:
    """600 ft, half to each end, skew 10, 0 to 120 degF, 6.5e-6/F, gap 1.50 in at 64 degF."""

    length_mm = 300.0 * MM_PER_FT
    per_c = per_celsius(6.5e-6)
    skew_deg = 10.0

    def test_movement_and_its_normal_and_parallel_parts(self):
        thermal = length_change(self.per_c, self.length_mm, celsius(120.0) - celsius(0.0))
        assert float(thermal) / MM_PER_IN == pytest.approx(2.81, abs=ROUNDING_IN)
        gap = gap_sides(self.length_mm, self.per_c, self.skew_deg)
        slip = racking_sides(self.length_mm, self.per_c, self.skew_deg)
        assert travel_in(gap, 0.0, 120.0) == pytest.approx(2.77, abs=ROUNDING_IN)
        assert travel_in(slip, 0.0, 120.0) == pytest.approx(-0.49, abs=ROUNDING_IN)

    def test_closing_and_opening_from_the_base_temperature(self):
        gap = gap_sides(self.length_mm, self.per_c, self.skew_deg)
        assert travel_in(gap, BASE_F, 120.0) == pytest.approx(1.29, abs=ROUNDING_IN)
        assert travel_in(gap, 0.0, BASE_F) == pytest.approx(1.47, abs=ROUNDING_IN)

    def test_gaps_at_three_temperatures(self):
        sides = gap_sides(self.length_mm, self.per_c, self.skew_deg)
        assert gaps_in(sides, 1.50) == pytest.approx([2.05, 1.50, 1.13], abs=ROUNDING_IN)

    @pytest.mark.parametrize(
        ("class_in", "verdict", "near_at_coldest"),
        # Which class is safe is judgement: 3 in is tight, 4 in is safe.
        [(3.0, Verdict.WATCH, True), (4.0, Verdict.IN_RANGE, False)],
    )
    def test_carried_to_the_coldest_it_opens_to_just_short_of_three_inches(
        self, class_in, verdict, near_at_coldest
    ):
        found = judge(
            gap_sides(self.length_mm, self.per_c, self.skew_deg),
            Setting.of(1.50 * MM_PER_IN, celsius(BASE_F)),
            Measured.of(1.50 * MM_PER_IN, celsius(BASE_F), u_value=1.0),
            Limits.of(0.0, class_in * MM_PER_IN, class_in * MM_PER_IN / 2.0),
            DesignExtremes.of(celsius(0.0), celsius(120.0)),
            Thresholds(),
        )
        assert float(found.carried_to_min) / MM_PER_IN == pytest.approx(2.97, abs=ROUNDING_IN)
        assert int(found.verdict) == verdict
        assert bool(int(found.reasons) & Reason.NEAR_LIMIT_AT_MIN) == near_at_coldest
