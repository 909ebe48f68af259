"""Ways to mend a defect side by side: who judged what, what was dropped, what was chosen."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from inspections.lookups.options import matrix_of, story_of
from inspections.option_weighing import first_place, shifts, weighed
from inspections.services.options import (
    NewCriterion,
    NewJudgement,
    add_criterion,
    add_option,
    change_option,
    choose_option,
    drop_option,
    judge_option,
    open_study,
    take_up_option,
    weigh,
)
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def engineer():
    return make_user("engineer")


@pytest.fixture
def study(engineer):
    bearing = make_element(make_unit(make_bridge()))
    return open_study(
        bridge=bearing.bridge,
        element=bearing,
        title="Frozen bearing",
        question="How can it move again?",
        criteria=[NewCriterion("traffic"), NewCriterion("cost")],
        user=engineer,
    )


def judge(option, user, **scores):
    """Judge an option by the kinds of its study's criteria."""
    return judge_option(
        option=option,
        judgements=[
            NewJudgement(option.study.criteria.get(kind=kind), score, f"because {score}")
            for kind, score in scores.items()
        ],
        user=user,
    )


def test_the_last_judgement_counts_and_the_earlier_ones_stay_with_who_made_them(study, engineer):
    option = add_option(study=study, name="Replace it")
    judge(option, engineer, traffic=2)
    other = make_user("engineer")
    judge(option, other, traffic=4)
    cell = matrix_of(study).rows[0].cells[0]
    assert (cell.last.score, cell.last.judged_by, cell.word) == (4, other, "rather good")
    assert [(each.score, each.judged_by) for each in cell.earlier] == [(2, engineer)]


def test_a_missing_judgement_is_named_and_lowers_no_mean(study, engineer):
    option = add_option(study=study, name="Replace it")
    judge(option, engineer, traffic=5)
    (mean,) = matrix_of(study).means
    # Only traffic was judged, with 5; a zero for cost would give 2.5.
    assert mean.shown == "5.00"
    assert [str(each) for each in mean.missing] == ["Cost"]
    assert any("not judged by «Cost»" in text for text in matrix_of(study).findings)


def test_the_mean_is_weighted(study, engineer):
    option = add_option(study=study, name="Replace it")
    judge(option, engineer, traffic=5, cost=1)
    traffic, cost = study.criteria.all()
    weigh(study=study, weights=[(traffic, 3.0), (cost, 1.0)])
    # (3 x 5 + 1 x 1) / 4, by hand
    assert matrix_of(study).means[0].shown == "4.00"


def test_it_is_said_which_weight_would_put_another_option_first(study, engineer):
    replace, reset = add_option(study=study, name="Replace"), add_option(study=study, name="Reset")
    judge(replace, engineer, traffic=5, cost=2)
    judge(reset, engineer, traffic=2, cost=4)
    findings = matrix_of(study).findings
    # 3.5 against 3; with cost doubled 9/3 against 10/3; with traffic halved 4.5/1.5 against 5/1.5
    assert "«Replace» has the greatest weighted mean." in findings
    assert "With the weight of «Cost» doubled, «Reset» would come first." in findings
    assert "With the weight of «Traffic» halved, «Reset» would come first." in findings
    assert len(findings) == 3


def test_a_first_place_that_no_single_weight_changes_is_said_to_stay(study, engineer):
    replace, reset = add_option(study=study, name="Replace"), add_option(study=study, name="Reset")
    judge(replace, engineer, traffic=5, cost=4)
    judge(reset, engineer, traffic=2, cost=4)
    assert any("stays the same" in text for text in matrix_of(study).findings)


def test_an_option_that_is_not_judged_by_everything_takes_no_place(study, engineer):
    replace, reset = add_option(study=study, name="Replace"), add_option(study=study, name="Reset")
    judge(replace, engineer, traffic=5)
    judge(reset, engineer, traffic=1, cost=1)
    assert [each.first for each in matrix_of(study).means] == [False, True]


def test_a_weight_of_a_tenth_ties_exactly():
    weights = {1: 0.1, 2: 0.2, 3: 0.3}
    scores = {10: {1: 3, 2: 3, 3: 1}, 20: {1: 1, 2: 1, 3: 3}}
    assert first_place(weights, scores) == {10, 20}


def test_criteria_without_weight_neither_count_nor_are_missed():
    (only,) = weighed({1: 1.0, 2: 0.0}, {10: {1: 4}})
    assert (only.mean, only.missing) == (4, ())
    assert shifts({1: 1.0, 2: 0.0}, {10: {1: 4}}) == []
    assert weighed({1: 0.0}, {10: {1: 4}})[0].mean is None


def test_a_dropped_option_leaves_the_matrix_and_keeps_its_reason(study, engineer):
    option = add_option(study=study, name="Jack and shim")
    drop_option(option=option, why="No jacking points.", user=engineer)
    matrix = matrix_of(study)
    assert list(matrix.options) == []
    (dropped,) = matrix.dropped
    assert (dropped.dropped_why, dropped.dropped_by) == ("No jacking points.", engineer)


def test_a_dropped_option_can_be_taken_up_again_and_both_reasons_stay_on_record(study, engineer):
    option = add_option(study=study, name="Jack and shim")
    drop_option(option=option, why="No jacking points.", user=engineer)
    take_up_option(option=option, why="Brackets can be bolted on. " * 10, user=engineer)
    assert [each.pk for each in matrix_of(study).options] == [option.pk]
    newest, oldest = story_of(study)
    assert (newest.what, newest.who) == ("Taken up again: Jack and shim", engineer)
    assert newest.why.startswith("Brackets can be bolted on.")
    assert (oldest.what, oldest.why) == ("Dropped: Jack and shim", "No jacking points.")


def test_a_later_choice_replaces_the_first_and_the_history_keeps_both(study, engineer):
    replace, reset = add_option(study=study, name="Replace"), add_option(study=study, name="Reset")
    choose_option(study=study, option=replace, why="It lasts.", user=engineer)
    choose_option(study=study, option=reset, why="The maker's stock is spent.", user=engineer)
    study.refresh_from_db()
    assert study.chosen == reset
    assert [(each.what, each.why) for each in story_of(study)] == [
        ("Chosen: Reset", "The maker's stock is spent."),
        ("Chosen: Replace", "It lasts."),
    ]


@pytest.mark.parametrize(
    ("attempt", "field", "says"),
    [
        ("choose_dropped", "option", "was dropped"),
        ("choose_without_reason", "why", "Say why"),
        ("choose_of_another_study", "option", "another study"),
        ("drop_without_reason", "why", "Say why"),
        ("drop_chosen", None, "is the chosen one"),
        ("drop_twice", None, "dropped already"),
        ("take_up_what_stands", None, "is not dropped"),
        ("judge_dropped", None, "Take it up again"),
        ("score_of_six", "judgements[1].score", "above 5"),
        ("same_name", None, "has an option of this name"),
        ("own_without_name", "name", "Name the criterion"),
        ("same_criterion", None, "has this criterion"),
        ("cost_below_zero", "cost", "0 or more"),
        ("weight_of_another", "weights[1].criterion", "another study"),
        ("weight_too_great", "weights[0].weight", "above 100"),
    ],
)
def test_what_is_refused_says_why_and_changes_nothing(study, engineer, attempt, field, says):
    kept, dropped = add_option(study=study, name="Kept"), add_option(study=study, name="Dropped")
    drop_option(option=dropped, why="Too slow.", user=engineer)
    chosen = add_option(study=study, name="Chosen")
    choose_option(study=study, option=chosen, why="It lasts.", user=engineer)
    other = open_study(bridge=study.bridge, title="Other", question="?", user=engineer)
    foreign = add_option(study=other, name="Foreign")
    stranger = add_criterion(study=other, kind="risk", weight=1.0)
    traffic = study.criteria.first()
    before = (_rows(study), story_of(study))
    attempts = {
        "choose_dropped": lambda: choose_option(
            study=study, option=dropped, why="x", user=engineer
        ),
        "choose_without_reason": lambda: choose_option(
            study=study, option=kept, why=" ", user=engineer
        ),
        "choose_of_another_study": lambda: choose_option(
            study=study, option=foreign, why="x", user=engineer
        ),
        "drop_without_reason": lambda: drop_option(option=kept, why="", user=engineer),
        "drop_chosen": lambda: drop_option(option=chosen, why="x", user=engineer),
        "drop_twice": lambda: drop_option(option=dropped, why="x", user=engineer),
        "take_up_what_stands": lambda: take_up_option(option=kept, why="x", user=engineer),
        "judge_dropped": lambda: judge(dropped, engineer, traffic=3),
        "score_of_six": lambda: judge_option(
            option=kept,
            judgements=[NewJudgement(traffic, 5), NewJudgement(traffic, 6)],
            user=engineer,
        ),
        "same_name": lambda: add_option(study=study, name="Kept"),
        "own_without_name": lambda: add_criterion(study=study, kind="own", weight=1.0),
        "same_criterion": lambda: add_criterion(study=study, kind="cost", weight=1.0),
        "cost_below_zero": lambda: change_option(
            option=kept, name="Kept", description="", cost=Decimal("-0.01"), duration_days=None
        ),
        "weight_of_another": lambda: weigh(study=study, weights=[(traffic, 9), (stranger, 2)]),
        "weight_too_great": lambda: weigh(study=study, weights=[(traffic, 100.5)]),
    }
    with pytest.raises(ValidationError) as refused:
        attempts[attempt]()
    told = refused.value.message_dict[field] if field else refused.value.messages
    assert says in " ".join(told)
    assert (_rows(study), story_of(study)) == before


def _rows(study) -> list:
    study.refresh_from_db()
    return [
        study.chosen_id,
        *study.options.values_list("name", "cost", "dropped_why"),
        *study.criteria.values_list("kind", "weight"),
        *study.options.values_list("judgements__score", flat=True),
    ]


def test_costs_keep_every_digit(study):
    option = add_option(study=study, name="Replace", cost=Decimal("99999999999.99"))
    option.refresh_from_db()
    assert option.cost == Decimal("99999999999.99")


def test_a_study_of_an_element_of_another_bridge_is_refused(engineer):
    element = make_element(make_unit(make_bridge()))
    with pytest.raises(ValidationError, match="belongs to another bridge"):
        open_study(bridge=make_bridge(), element=element, title="T", question="?", user=engineer)
