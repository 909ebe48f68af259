"""A flag's life depends on what was seen and decided when, not on when it became known."""

import datetime as dt
import itertools
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.flag_life import Decided, Released, Renewed, Seen, life_of
from inspections.models.choices import VerdictWord
from inspections.models.desk_choices import DecisionKind, FlagState
from tests.properties.flag_reference import same_as, told_by_table

steady = settings(derandomize=True, deadline=None, max_examples=600)
START = dt.datetime(2020, 3, 1, 8, tzinfo=dt.UTC)
SEVERITIES = (VerdictWord.WATCH, VerdictWord.OUT_OF_RANGE)
UNTIL = dt.date(2031, 1, 1)
HOLD_FOR_A_TIME = (DecisionKind.ACCEPT, DecisionKind.WATCH, DecisionKind.MEASURE_AGAIN)


def hour(number: int) -> dt.datetime:
    return START + dt.timedelta(hours=number)


def decided(number: int, kind: DecisionKind, key: int = 0) -> Decided:
    return Decided(hour(number), kind, UNTIL if kind in HOLD_FOR_A_TIME else None, key)


def shown(number: int, severity: int = VerdictWord.OUT_OF_RANGE) -> Seen:
    return Seen(hour(number), True, severity)


def gone(number: int) -> Seen:
    return Seen(hour(number), False, VerdictWord.IN_RANGE)


@st.composite
def happenings(draw: st.DrawFn, least: int = 0, most: int = 14):
    """Draw what may happen to a flag in a few hours, several of it at the same hour."""
    hours = draw(st.lists(st.integers(0, 9), min_size=least, max_size=most))
    told = []
    for key, number in enumerate(hours, 1):
        at, sort = hour(number), draw(st.sampled_from("sssddrc"))
        if sort == "r":
            told.append(Renewed(at))
        elif sort == "c":
            told.append(Released(at, draw(st.integers(1, key))))
        elif sort == "s":
            is_shown = draw(st.booleans())
            severity = draw(st.sampled_from(SEVERITIES)) if is_shown else VerdictWord.IN_RANGE
            told.append(Seen(at, is_shown, severity, key))
        else:
            told.append(decided(number, draw(st.sampled_from(DecisionKind)), key))
    return told


def test_every_short_life_is_the_one_that_the_table_tells():
    alphabet = [
        *(lambda n, s=severity: shown(n, s) for severity in SEVERITIES),
        gone,
        lambda n: Renewed(hour(n)),
        *(lambda n, k=kind: decided(n, k) for kind in DecisionKind),
    ]
    for length in range(5):
        for steps in itertools.product(alphabet, repeat=length):
            told = [step(number) for number, step in enumerate(steps)]
            same_as(life_of(told), told_by_table(told))


@settings(steady, max_examples=3000)
@given(happenings())
def test_a_long_life_is_the_one_that_the_table_tells(told):
    same_as(life_of(told), told_by_table(told))


@steady
@given(happenings().flatmap(lambda told: st.tuples(st.just(told), st.permutations(told))))
def test_the_order_of_telling_does_not_matter(both):
    told, shuffled = both
    assert life_of(shuffled) == life_of(told)


@steady
@given(happenings())
def test_what_becomes_known_bit_by_bit_ends_as_if_known_at_once(told):
    known = []
    for each in told:
        known.append(each)
        so_far = life_of(known)
        same_as(so_far, told_by_table(known))
        assert life_of(known) == so_far
    assert life_of(known) == life_of(told)


@steady
@given(happenings(least=1), st.data())
def test_an_amended_visit_gives_what_it_would_have_given_from_the_start(told, data):
    visits = [row for row, each in enumerate(told) if isinstance(each, Seen)]
    if not visits:
        return
    row = data.draw(st.sampled_from(visits))
    right = told[row]
    is_shown = not right.shown
    first_told = replace(
        right, shown=is_shown, severity=SEVERITIES[1] if is_shown else VerdictWord.IN_RANGE
    )
    told[row] = first_told
    same_as(life_of(told), told_by_table(told))
    told.remove(first_told)
    told.append(right)
    same_as(life_of(told), told_by_table(told))


@steady
@given(happenings())
def test_a_flag_never_closes_without_the_word_of_an_engineer(told):
    life = life_of(told)
    if life.state == FlagState.CLOSED:
        words = [each for each in told if _is_word_of_an_engineer(each)]
        assert max(each.at for each in words) >= life.last_seen_at


def _is_word_of_an_engineer(each) -> bool:
    """Return whether it says that the matter is over: the register tells of a new device."""
    over = (DecisionKind.CLOSE, DecisionKind.MENDED)
    return isinstance(each, Renewed) or (isinstance(each, Decided) and each.kind in over)


@steady
@given(happenings())
def test_readings_alone_open_a_flag_or_ask_to_confirm_and_no_more(told):
    seen = [each for each in told if isinstance(each, Seen)]
    life = life_of(seen)
    last = max(seen, key=lambda each: (each.at, each.shown), default=None)
    if not any(each.shown for each in seen):
        assert life.state is None
    else:
        assert life.state == (FlagState.OPEN if last.shown else FlagState.BACK)


@steady
@given(happenings(), st.sampled_from(SEVERITIES))
def test_what_is_closed_and_shown_later_is_open_and_counted_as_returned(told, severity):
    closed = life_of([*told, decided(20, DecisionKind.CLOSE)])
    again = life_of([*told, decided(20, DecisionKind.CLOSE), shown(21, severity)])
    assert again.state == FlagState.OPEN
    assert again.opened_at == hour(21)
    assert again.times_reopened == closed.times_reopened + 1


@steady
@given(happenings(), st.sampled_from((DecisionKind.ACCEPT, DecisionKind.WATCH)))
def test_what_is_accepted_or_watched_stays_so_until_it_is_worse(told, kind):
    standing = [*told, shown(19, VerdictWord.WATCH), decided(20, kind)]
    granted = FlagState.ACCEPTED if kind == DecisionKind.ACCEPT else FlagState.WATCHED
    same = life_of([*standing, shown(21, VerdictWord.WATCH), shown(22, VerdictWord.WATCH)])
    assert (same.state, same.until) == (granted, UNTIL)
    worse = life_of([*standing, shown(21, VerdictWord.OUT_OF_RANGE), shown(22, VerdictWord.WATCH)])
    assert (worse.state, worse.until) == (FlagState.OPEN, None)


@steady
@given(happenings(), st.sampled_from((DecisionKind.ACCEPT, DecisionKind.WATCH)))
def test_what_was_back_for_a_time_is_under_the_same_decision_when_it_shows_again(told, kind):
    standing = [*told, shown(19), decided(20, kind)]
    back = life_of([*standing, gone(21), gone(22)])
    assert (back.state, back.back_since) == (FlagState.BACK, hour(21))
    again = life_of([*standing, gone(21), gone(22), shown(23)])
    assert again.state == life_of(standing).state
    assert again.until == UNTIL
    assert again.times_reopened == life_of(standing).times_reopened


@steady
@given(happenings())
def test_mended_work_is_closed_by_its_proof_and_returns_where_it_still_shows(told):
    mended = [*told, shown(18), decided(20, DecisionKind.MENDED)]
    proved, failed = life_of([*mended, gone(21)]), life_of([*mended, shown(21)])
    assert proved.state == FlagState.CLOSED
    assert failed.state == FlagState.OPEN
    assert failed.times_reopened == life_of(mended).times_reopened + 1


@steady
@given(happenings())
def test_what_no_visit_shows_is_no_flag_or_is_withdrawn(told):
    unseen = [each for each in told if not (isinstance(each, Seen) and each.shown)]
    expected = FlagState.WITHDRAWN if any(isinstance(each, Decided) for each in unseen) else None
    assert life_of(unseen).state == expected


@steady
@given(happenings(least=1))
def test_counts_and_hours_tell_the_visits_that_showed_it(told):
    life = life_of(told)
    hours = [each.at for each in told if isinstance(each, Seen) and each.shown]
    assert life.times_seen == len(hours)
    assert (life.first_seen_at, life.last_seen_at) == (
        (min(hours), max(hours)) if hours else (None, None)
    )
    if life.opened_at:
        assert life.first_seen_at <= life.opened_at <= life.last_seen_at
    assert life.times_reopened <= life.times_seen


@steady
@given(happenings(), st.integers(1, 99), st.integers(1, 99))
def test_it_does_not_matter_which_of_two_visits_at_one_hour_was_opened_first(told, one, other):
    def with_keys(first, second):
        at_once = [replace(shown(20), key=first), replace(gone(20), key=second)]
        return life_of([*told, *at_once, decided(21, DecisionKind.ACCEPT), gone(22)])

    assert with_keys(one, other) == with_keys(other, one)


@steady
@given(st.sampled_from((DecisionKind.ACCEPT, DecisionKind.WATCH)), st.sampled_from(SEVERITIES))
def test_an_acceptance_covers_nothing_where_no_visit_had_shown_it_by_then(kind, severity):
    # As where the reading that it was given on turned out to be a blunder.
    life = life_of([decided(1, kind), shown(2, severity)])
    assert (life.state, life.until) == (FlagState.OPEN, None)


def test_a_measurement_asked_for_that_shows_it_again_asks_for_a_decision():
    asked = [shown(0), decided(1, DecisionKind.MEASURE_AGAIN)]
    assert life_of(asked).state == FlagState.TO_MEASURE
    assert life_of([*asked, shown(2)]).state == FlagState.OPEN
    assert life_of([*asked, gone(2)]).state == FlagState.BACK


def test_work_that_is_ordered_stays_ordered_while_visits_still_show_the_defect():
    life = life_of([shown(0, VerdictWord.WATCH), decided(1, DecisionKind.WORK_ORDERED), shown(2)])
    assert (life.state, life.severity) == (FlagState.IN_WORK, VerdictWord.OUT_OF_RANGE)


def test_an_order_that_is_cancelled_leaves_the_flag_to_be_decided_on_again():
    ordered = [shown(0), decided(1, DecisionKind.WORK_ORDERED, key=7)]
    cancelled = Released(hour(3), 7)
    assert life_of([*ordered, cancelled]).state == FlagState.OPEN
    watched = decided(2, DecisionKind.WATCH, key=8)
    assert life_of([*ordered, watched, cancelled]).state == FlagState.WATCHED
    back = life_of([*ordered, gone(2), cancelled])
    assert back.state == FlagState.BACK
    assert life_of([*ordered, gone(2), cancelled, shown(4)]).state == FlagState.OPEN


def test_a_device_renewed_by_the_register_is_mended_and_its_next_reading_proves_it():
    renewed = [shown(0), decided(1, DecisionKind.ACCEPT), Renewed(hour(2))]
    assert (life_of(renewed).state, life_of(renewed).until) == (FlagState.MENDED, None)
    assert life_of([*renewed, gone(3)]).state == FlagState.CLOSED


def test_at_one_hour_a_device_is_renewed_first_then_seen_then_decided_on():
    at_once = [decided(1, DecisionKind.ACCEPT), shown(1), Renewed(hour(1))]
    life = life_of([shown(0), *at_once])
    assert (life.state, life.times_reopened) == (FlagState.ACCEPTED, 1)
