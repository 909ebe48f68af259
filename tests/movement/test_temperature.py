"""Effective temperature from surfaces, from the air before, and the best way of several."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.temperature import (
    PRECEDING_HOURS,
    DeckType,
    Way,
    WayUncertainty,
    best_of,
    from_surfaces,
    mean_of_preceding,
    weakest,
)

NAN = np.nan
WITH_A_FIGURE = [
    Way.EMBEDDED,
    Way.SURFACES,
    Way.SHADED_SURFACE,
    Way.AIR_HISTORY,
    Way.SHADE_AIR,
]


class TestSurfaces:
    def test_deck_and_girder_count_by_their_share(self):
        # by hand: deck (30 + 20) / 2 = 25, girder (14 + 16 + 18) / 3 = 16; 0.6 x 25 + 0.4 x 16
        found = from_surfaces([[30.0, 20.0]], [[14.0, 16.0, 18.0]], 0.6)
        assert found == pytest.approx([21.4])

    def test_a_surface_not_taken_is_left_out_of_its_part(self):
        found = from_surfaces([[NAN, 20.0]], [[NAN, 16.0, NAN]], [0.5])
        assert found == pytest.approx([18.0])

    @pytest.mark.parametrize(
        ("deck_c", "girder_c"), [([[NAN, NAN]], [[16.0]]), ([[20.0]], [[NAN, NAN]])]
    )
    def test_one_part_alone_does_not_stand_for_the_section(self, deck_c, girder_c):
        assert np.isnan(from_surfaces(deck_c, girder_c, 0.5)).all()

    def test_a_share_of_nothing_or_of_all_takes_one_part(self):
        assert from_surfaces([[20.0], [20.0]], [[10.0], [10.0]], [0.0, 1.0]).tolist() == [10, 20]

    @pytest.mark.parametrize("share", [-0.01, 1.01, 60.0])
    def test_a_share_is_between_nothing_and_all(self, share):
        with pytest.raises(InputError, match="not between 0 and 1") as refused:
            from_surfaces([[20.0]], [[10.0]], share)
        assert refused.value.field == "deck_share"
        assert "0.6 for 60 %" in refused.value.remedy


class TestAirBefore:
    """Hourly air record 0, 1, 2, ... h with 0, 1, 2, ... degC: means can be told by hand."""

    hours = np.arange(0.0, 200.0)

    def test_a_steel_deck_follows_a_day_and_a_concrete_one_two(self):
        spans = [PRECEDING_HOURS[each] for each in (DeckType.STEEL, DeckType.COMPOSITE)]
        assert spans == [24.0, 24.0]
        assert PRECEDING_HOURS[DeckType.CONCRETE] == 48.0

    @pytest.mark.parametrize(
        ("span_h", "mean_c"),
        [
            (24.0, 88.5),  # 77 ... 100
            (48.0, 76.5),  # 53 ... 100
        ],
    )
    def test_the_hour_of_the_reading_counts_and_the_one_a_span_before_does_not(
        self, span_h, mean_c
    ):
        assert float(mean_of_preceding(self.hours, self.hours, 100.0, span_h)) == mean_c

    def test_each_reading_has_its_own_hour_and_span(self):
        found = mean_of_preceding(self.hours, self.hours, [100.0, 100.0, 60.0], [24.0, 48.0, 24.0])
        assert found.tolist() == [88.5, 76.5, 48.5]

    def test_between_two_hours_the_last_whole_one_counts(self):
        assert float(mean_of_preceding(self.hours, self.hours, 100.5, 24.0)) == 88.5

    def test_what_comes_later_does_not_count(self):
        later = np.where(self.hours > 100.0, 1000.0, self.hours)
        assert float(mean_of_preceding(self.hours, later, 100.0, 24.0)) == 88.5

    def test_order_does_not_matter(self):
        back = self.hours[::-1]
        assert float(mean_of_preceding(back, back, 100.0, 24.0)) == 88.5

    def test_blanks_are_passed_over(self):
        air = self.hours.copy()
        air[[77, 100]] = NAN
        assert float(mean_of_preceding(self.hours, air, 100.0, 24.0)) == 88.5  # of 78 ... 99

    @pytest.mark.parametrize(("missing", "known"), [(6, True), (7, False)])
    def test_three_quarters_of_the_span_must_have_a_record(self, missing, known):
        air = self.hours.copy()
        air[80 : 80 + missing] = NAN
        found = mean_of_preceding(self.hours, air, 100.0, 24.0)
        assert bool(np.isnan(found)) != known

    def test_a_gap_in_the_record_is_as_good_as_blanks(self):
        keep = (self.hours < 80) | (self.hours >= 87)
        found = mean_of_preceding(self.hours[keep], self.hours[keep], 100.0, 24.0)
        assert np.isnan(found)

    def test_many_records_in_one_hour_do_not_stand_for_a_day(self):
        within_an_hour = 99.0 + np.arange(60.0) / 60.0
        found = mean_of_preceding(within_an_hour, np.full(60, 10.0), 100.0, 24.0)
        assert np.isnan(found)

    def test_records_every_half_hour_give_the_mean_of_them_all(self):
        half_hours = np.arange(0.0, 200.0, 0.5)
        found = mean_of_preceding(half_hours, half_hours, 100.0, 24.0)
        assert float(found) == pytest.approx(88.25)  # 76.5 ... 100

    @pytest.mark.parametrize("at_h", [-1.0, 10.0, 240.0])
    def test_outside_the_record_nothing_is_known(self, at_h):
        assert np.isnan(mean_of_preceding(self.hours, self.hours, at_h, 24.0))

    def test_an_empty_record_or_one_of_blanks_tells_nothing(self):
        assert np.isnan(mean_of_preceding([], [], 100.0, 24.0))
        assert np.isnan(mean_of_preceding(self.hours, np.full(200, NAN), 100.0, 24.0))

    def test_temperatures_must_pair_with_hours(self):
        with pytest.raises(InputError, match="does not pair") as refused:
            mean_of_preceding([1.0, 2.0], [5.0], 2.0, 24.0)
        assert refused.value.field == "air_c"

    @pytest.mark.parametrize("span_h", [0.0, -24.0])
    def test_a_span_has_a_length(self, span_h):
        with pytest.raises(InputError, match="span_h"):
            mean_of_preceding(self.hours, self.hours, 100.0, span_h)


class TestBestWay:
    def test_the_best_way_that_was_measured_is_taken_for_each_reading(self):
        found = best_of(
            {
                Way.SHADE_AIR: [5.0, 5.0, 5.0, 5.0],
                Way.EMBEDDED: [1.0, NAN, NAN, NAN],
                Way.SHADED_SURFACE: [3.0, 3.0, NAN, NAN],
                Way.AIR_HISTORY: [4.0, 4.0, 4.0, NAN],
                Way.SURFACES: [2.0, 2.0, NAN, NAN],
            },
            WayUncertainty(),
        )
        assert found.way.tolist() == [1, 2, 4, 5]
        assert found.temperature_c.tolist() == [1.0, 2.0, 4.0, 5.0]
        assert found.u_temperature_k.tolist() == [0.5, 1.5, 2.5, 4.0]

    def test_where_nothing_was_measured_there_is_no_temperature_and_no_way(self):
        found = best_of({Way.EMBEDDED: [NAN, 8.0], Way.SHADED_SURFACE: NAN}, WayUncertainty())
        assert found.way.tolist() == [0, 1]
        assert np.isnan(found.temperature_c[0])
        assert np.isnan(found.u_temperature_k[0])

    def test_the_agency_sets_the_uncertainty_of_each_way(self):
        mine = WayUncertainty(0.1, 0.2, 0.3, 0.4, 0.6)
        assert mine.of(WITH_A_FIGURE).tolist() == [0.1, 0.2, 0.3, 0.4, 0.6]

    def test_a_better_way_is_never_less_certain_by_default(self):
        figures = WayUncertainty().of(WITH_A_FIGURE)
        assert (np.diff(figures) > 0).all()

    def test_a_heat_balance_goes_before_the_plain_mean_and_after_what_a_crew_measured(self):
        balance = {Way.HEAT_BALANCE_AIR: [4.0, 4.0], Way.AIR_HISTORY: [1.0, 1.0]}
        found = best_of(
            {**balance, Way.SHADED_SURFACE: [NAN, 3.0]},
            WayUncertainty(),
            {Way.HEAT_BALANCE_AIR: [2.7, 2.7], Way.AIR_HISTORY: 5.0},
        )
        assert found.way.tolist() == [Way.HEAT_BALANCE_AIR, Way.SHADED_SURFACE]
        assert found.temperature_c.tolist() == [4.0, 3.0]
        assert found.u_temperature_k.tolist() == [2.7, 2.0]

    def test_of_two_units_at_a_joint_the_weaker_way_is_told(self):
        pairs = [
            [Way.HEAT_BALANCE, Way.AIR_HISTORY],
            [Way.AIR_HISTORY, Way.HEAT_BALANCE],
            [Way.EMBEDDED, Way.HEAT_BALANCE_DAYS],
            [0, Way.EMBEDDED],
            [0, 0],
        ]
        assert weakest(pairs).tolist() == [4, 4, 8, 1, 0]

    def test_no_way_at_all_is_refused(self):
        with pytest.raises(InputError, match="is empty"):
            best_of({}, WayUncertainty())

    @pytest.mark.parametrize("figure", [-1.0, NAN, np.inf])
    def test_an_uncertainty_is_nought_or_more(self, figure):
        with pytest.raises(InputError) as refused:
            WayUncertainty(air_history_k=figure)
        assert refused.value.field == "air_history_k"
