"""The texts of a page in plain words: plain, honest, and of each cause in each state."""

import datetime as dt

import pytest
from django.utils.translation import override

from inspections.drawing.place import WAYS, place_drawing
from inspections.models.choices import CauseWord, ReadingQuantity, ResponseWord, VerdictWord
from inspections.models.desk_choices import FlagCause, FlagState
from inspections.plain.amounts import amount, length, temperature
from inspections.plain.facts import DueVisit, Proposal, Then
from inspections.plain.readings import reading
from inspections.plain.texts import generated, title, within
from inspections.plain_lengths import TEXTS
from inventory.units import System
from movement.results import Reason
from tests.inspections.plain_rows import (
    CRITICAL,
    DECIDED,
    EVIDENCE,
    ON,
    every_kind,
    facts,
    hard_to_read,
    history_item,
    measured,
    order,
    page_words,
    place,
    unexplained,
)

SI, US = System.SI, System.US


def told(name: str, system: System = SI, **fields) -> str:
    """Return one text of a page, its spaces plain."""
    return " ".join(generated(facts(**fields), system)[name].split())


@pytest.mark.parametrize("system", [SI, US])
def test_every_page_is_read_after_nine_years_of_school(system):
    hard = [each for one in every_kind() for each in hard_to_read(generated(one, system))]
    assert hard == []


def test_no_quantity_is_told_in_the_words_of_another():
    own = [each for each in ReadingQuantity if each not in WAYS]
    for texts in (
        [reading(measured(each, expected=None), SI)[1] for each in own],
        [place_drawing(facts(measured=measured(each)), SI).description for each in own],
    ):
        assert len(set(texts)) == len(own), texts


def test_no_trade_word_stands_without_what_it_means():
    found = {
        (one.cause, one.state, word)
        for one in every_kind()
        for word in unexplained(generated(one, SI))
    }
    assert found == set()


def test_the_check_of_words_sees_what_it_looks_for():
    texts = dict.fromkeys((each.name for each in TEXTS), "Fine.")
    assert unexplained(texts | {"found": "The verdict of the bearing is CS3."}) == [
        "verdict",
        "cs3",
        "bearing",
    ]
    long = "Notwithstanding the aforementioned considerations, the multidirectional elastomeric"
    assert hard_to_read(texts | {"plan": f"{long} configuration necessitates remediation."})


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("system", [SI, US])
def test_every_text_says_something_within_its_length_and_ends_with_a_sentence(system, language):
    for one in every_kind():
        with override(language):
            texts = generated(one, system)
        for each in TEXTS:
            assert 0 < len(texts[each.name]) <= each.most
            assert each.name == "title" or texts[each.name].endswith((".", "»"))


def test_no_page_calls_the_bridge_safe_and_each_says_who_decides():
    for one in every_kind():
        said = page_words(generated(one, SI)).lower()
        assert "safe" not in said
        assert "an engineer decides whether and how the bridge may be used" in said


def test_the_longer_words_of_german_push_out_nothing_that_must_stand():
    record = "ohne Unterschrift kein fachlicher Befund."
    for one in every_kind():
        english = generated(one, US)["meaning"]
        with override("de"):
            texts, whole_title = generated(one, US), title(one)
        assert "entscheidet das Ingenieurbüro, nicht diese Seite." in texts["meaning"]
        assert (record in texts["meaning"]) >= ("no engineer's finding" in english)
        assert ("sofort zu verständigen." in texts["meaning"]) == bool(one.critical)
        assert texts["title"] == whole_title


def test_codes_of_bridge_and_element_stay_out_of_the_texts():
    for one in every_kind():
        assert "A2-B2" not in page_words(generated(one, SI))
        assert "W-1" not in page_words(generated(one, SI))


@pytest.mark.parametrize("cause", list(FlagCause))
def test_a_critical_finding_comes_first_and_says_who_must_be_told(cause):
    stands = {"cause": cause, "critical": (CRITICAL,), "evidence": EVIDENCE[cause]}
    assert told("found", **stands).startswith("A critical finding stands")
    meaning = told("meaning", **stands)
    assert meaning.startswith(
        "A critical finding stands. The engineer in charge and the owner of the bridge must be"
        " told at once."
    )
    assert "The crew told: the duty officer." in meaning


def test_whom_a_crew_told_of_a_critical_finding_is_not_made_up():
    silent = CRITICAL.__class__(CRITICAL.what, "", ON, None)
    assert "do not say whom the crew told" in told("meaning", critical=(silent,))


def test_what_moved_and_what_should_have_are_told_with_their_difference():
    text = told("found")
    assert "Since it was built in it should have moved 33 mm towards the far end." in text
    assert "It moved 17 mm towards the far end." in text
    # the difference of what a reader sees, not 15.7 rounded on its own
    assert "So it was 16 mm away from where it should be." in text


def test_a_gap_is_told_as_too_narrow_or_too_wide():
    joint = {"place": place("strip_seal", beside=1)}
    narrow = told("found", **joint, measured=measured("gap", value=19.05, expected=42.06))
    assert "The gap was 19 mm. It should have been 42 mm. So it was 23 mm too narrow." in narrow
    wide = told("found", US, **joint, measured=measured("gap", value=90.0, expected=71.4))
    assert "The gap was 3 1/2 inches. It should have been 2 3/4 inches." in wide
    assert "So it was 3/4 inch too wide." in wide


def test_a_difference_within_the_doubt_is_not_told_as_a_fault():
    near = measured(value=34.4, verdict=VerdictWord.WATCH, reasons=int(Reason.NEAR_LIMIT_AT_MAX))
    text = told("found", cause=FlagCause.LIMIT, measured=near)
    assert "The difference of 1 mm is no larger than the doubt in the measuring." in text
    assert "away from where it should be" not in text
    same = measured("gap", value=33.0, verdict=VerdictWord.IN_RANGE, reasons=0)
    assert "So this is as it should be." in told("found", measured=same)


def test_two_figures_that_read_alike_are_not_called_right_where_the_reading_was_off():
    off = measured("gap", value=33.4, expected=32.6)
    text = told("found", place=place("strip_seal"), measured=off)
    assert "So it was a little too wide." in text
    assert "as it should be" not in text


def test_a_shift_and_a_limit_ahead_are_told_only_where_the_history_found_them():
    both = {"evidence": (history_item(),)}
    assert "It shifted by 14 mm all at once between two visits." in told("found", **both)
    assert "it reaches its end in about 7 years" in told("found", **both)
    neither = {"evidence": (history_item(findings=0),)}
    assert "all at once" not in told("found", **neither)
    assert "reaches its end" not in told("found", **neither)
    # of a limit the step may as well be a drift
    assert "all at once" not in told("found", cause=FlagCause.LIMIT, **both)


def test_a_first_reading_is_compared_with_nothing():
    first = measured(then=None, expected=17.4, reasons=int(Reason.IS_BASELINE))
    assert "there is nothing to compare it with" in told("found", measured=first)


def test_what_does_not_move_is_told_over_the_widest_change_of_temperature():
    reading = measured(
        "tilt",
        value=0.3,
        expected=3.0,
        temperature_c=31.0,
        then=Then("reading", -0.2, -4.2, -15.0, dt.date(2022, 1, 25)),
    )
    text = told(
        "found",
        cause=FlagCause.RESPONSE,
        place=place("rocker"),
        measured=reading,
        evidence=(history_item(ResponseWord.FROZEN),),
    )
    assert "On 25 January 2022 the deck was at −15 °C. On 14 July 2026 it was at 31 °C." in text
    assert "In between it should have turned 7.2 degrees. It turned 0.5 degrees." in text
    assert "So it hardly moves at all." in text


def test_a_reading_that_could_not_have_shown_the_fault_does_not_end_it():
    later = measured(verdict=VerdictWord.IN_RANGE, reasons=0)
    reading = measured(on=dt.date(2025, 2, 6), stands=True)
    text = told("found", measured=reading, later=later)
    assert "measured again on 14 July 2026 and was as it should be" in text
    assert "the fault could not show. So the finding stands." in text
    assert "could not show" not in told("found", measured=measured(), later=later)


def test_a_reading_that_cannot_be_judged_says_why():
    no_temperature = measured(
        verdict=VerdictWord.CANNOT_JUDGE,
        reasons=int(Reason.NO_TEMPERATURE),
        temperature_c=None,
        expected=None,
    )
    assert "could not be judged: nobody took the temperature" in told(
        "found", measured=no_temperature
    )
    assert "could not be judged: nobody took the temperature" in told(
        "unknown", later=no_temperature
    )


def test_without_a_reading_it_says_so_and_not_that_all_is_well():
    nothing = {"measured": None, "visits": 0, "coldest_c": None, "hottest_c": None}
    assert "It has not been measured yet." in told("found", **nothing)
    assert "was never measured" in told("unknown", **nothing)


def test_a_grade_by_eye_is_told_without_its_number_and_in_the_readers_units():
    graded = {"cause": FlagCause.CONDITION, "evidence": EVIDENCE[FlagCause.CONDITION]}
    text = told("found", **graded)
    assert "the worst of four grades. The fault: it is packed with dirt." in text
    assert "It touches 4 of 12 metres." in text
    assert "It touches 13 of 39 feet." in told("found", US, **graded)


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (FlagState.OPEN, "No decision has been made yet."),
        (FlagState.TO_MEASURE, "ordered that it be measured again by 31 March 2027"),
        (FlagState.WATCHED, "looked at every 6 months until 31 July 2028"),
        (FlagState.ACCEPTED, "let it stay as it is until 30 June 2028"),
        (FlagState.IN_WORK, "decided to have it mended"),
        (FlagState.MENDED, "noted that it was mended"),
        (FlagState.CLOSED, "closed the matter"),
    ],
)
def test_what_will_be_done_follows_the_decision(state, words):
    assert words in told("plan", state=state, decided=DECIDED.get(state))


def test_no_date_is_said_where_none_is_set_and_only_there():
    assert told("plan").endswith("No date has been set.")
    assert "No date has been set" not in told("plan", due=(DueVisit("routine", ON, False),))


def test_an_order_tells_day_and_cost_or_that_they_are_missing():
    in_work = {"state": FlagState.IN_WORK, "decided": DECIDED[FlagState.IN_WORK]}
    text = told("plan", **in_work, orders=(order(),))
    assert "a new part in place of this one. It is planned for 3 May 2027." in text
    assert "The cost is put at EUR 96 000." in text
    bare = {**in_work, "orders": (order(planned_on=None, estimate=""),)}
    assert "No date has been set for it. No cost is on file." in told("plan", **bare)
    assert "When the work will be done is not known." in told("unknown", **bare)
    assert "What the work will cost is not known." in told("unknown", **bare)


def test_finished_work_waits_for_its_proof():
    done = order(state="finished", finished_on=dt.date(2026, 9, 17), billed="EUR 1 350")
    mended = {"state": FlagState.MENDED, "decided": DECIDED[FlagState.MENDED], "orders": (done,)}
    assert "finished on 17 September 2026. It cost EUR 1 350." in told("plan", **mended)
    assert "A new measurement must show whether it helped." in told("plan", **mended)
    assert "It is not proved yet that the part works again." in told("meaning", **mended)
    assert "is not known before it is measured again" in told("unknown", **mended)


def test_what_is_not_known_comes_from_what_the_record_lacks():
    assert "Only the temperature of the air is known." in told("unknown", measured=measured(way=5))
    assert "temperature of the air" not in told("unknown")
    first = measured(setting_from="baseline")
    assert "Its first reading stands in for that." in told("unknown", measured=first)
    alike = told("unknown", coldest_c=8.0, hottest_c=14.0)
    assert "between 8 °C and 14 °C" in alike
    assert "much colder or hotter day is not known" in alike
    assert "much colder" not in told("unknown")
    assert "Nobody took the temperature." in told("unknown", measured=measured(temperature_c=None))


def test_causes_that_cannot_be_told_apart_are_both_named_with_the_reading_that_would_tell():
    both = {
        "causes": (CauseWord.FROZEN, CauseWord.SUPPORT_MOVED),
        "equal": True,
        "proposal": Proposal("gap", place("strip_seal", beside=1), -15.0, 2, False),
    }
    assert "a bearing that no longer moves or a support that has moved" in told("meaning", **both)
    text = told("unknown", **both)
    assert "Which of the causes it is cannot be told yet." in text
    assert "how wide the gap is of the joint at the far end of the bridge" in text
    assert "near −15 °C as on a usual day in February" in text


def test_a_cause_that_fits_best_is_not_called_proved():
    one = {"causes": (CauseWord.SUPPORT_MOVED,)}
    assert "fit this cause best: a support that has moved" in told("meaning", **one)
    assert "The likeliest cause is not proved." in told("unknown", **one)


def test_a_bridge_without_a_flag_says_that_nothing_needs_a_decision():
    calm = measured(value=33.0, verdict=VerdictWord.IN_RANGE, reasons=0)
    bridge = {"cause": "", "state": "", "severity": VerdictWord.IN_RANGE, "measured": calm}
    assert told("found", **bridge).startswith("Nothing was found that needs a decision.")
    assert "What was measured is as it should be." in told("meaning", **bridge)
    assert "An engineer decides" in told("meaning", **bridge)


def test_a_bridge_without_parts_on_record_says_so():
    texts = generated(facts(cause="", state="", place=None, measured=None), SI)
    assert texts["title"] == "Nothing is in our files yet"
    assert "until they are in our files" in texts["unknown"]


@pytest.mark.parametrize(
    ("value_mm", "si", "us"),
    [
        (0.0, "0 mm", "0 inches"),
        (0.4, "less than 1 mm", "less than 1/8 inch"),
        (3.2, "3 mm", "1/8 inch"),
        (25.4, "25 mm", "1 inch"),
        (-41.3, "41 mm", "1 5/8 inches"),
        (50.5, "51 mm", "2 inches"),
    ],
)
def test_lengths_are_whole_millimetres_or_eighths_of_an_inch(value_mm, si, us):
    assert length(value_mm, SI).replace("\u00a0", " ") == si
    assert length(value_mm, US).replace("\u00a0", " ") == us


def test_temperatures_are_whole_degrees_and_turns_are_degrees():
    assert temperature(-4.6, SI).replace("\u00a0", " ") == "−5 °C"
    assert temperature(-4.6, US).replace("\u00a0", " ") == "24 °F"
    assert amount("rotation", 17.5, SI).replace("\u00a0", " ") == "1.0 degrees"


def test_sentences_for_which_there_is_no_room_are_left_out_whole():
    assert within(["One.", "A sentence that is too long.", "Two."], 12) == "One. Two."
