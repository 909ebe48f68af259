"""Option studies by the API alone: from opening to the choice, and what is refused on the way."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.lookups.options import matrix_of
from inspections.models import OptionStudy
from inventory.models import District
from tests.api.calls import Caller, fields_of, is_problem
from tests.inspections.desk_rows import words
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db
NEW = {
    "bridge": "B-1", "title": "Frozen bearing", "question": "How can it move again?",
    "criteria": [{"kind": "traffic", "weight": 3}, {"kind": "cost"}],
}  # fmt: skip


@pytest.fixture
def engineer() -> Caller:
    return Caller(make_user("engineer", username="ada"))


@pytest.fixture
def bearing():
    return make_element(make_unit(make_bridge("B-1")), "pot", code="P-1")


@pytest.fixture
def study(engineer, bearing) -> dict:
    """Return a study with the options «Replace» and «Reset» as the API shows it."""
    made = engineer.post("option-studies/", NEW | {"element": bearing.pk}).json()
    for name in ("Replace", "Reset"):
        told = engineer.post(f"option-studies/{made['id']}/options/", {"name": name})
        assert told.status_code == 201, told.content
    return told.json()


def at(study, *verbs: object) -> str:
    return "/".join(("option-studies", f"{study['id']}", *map(str, verbs), ""))


def of(study, number: int, verb: str) -> str:
    """Return the address of what is done to one of its options."""
    return at(study, "options", study["options"][number]["id"], verb)


def judged(study, *scores: int | None, word: str = "Seen so before.") -> dict:
    """Return judgements by its criteria in their order; None judges not."""
    return {
        "judgements": [
            {"criterion": each["id"], "score": score, "words": word}
            for each, score in zip(study["criteria"], scores, strict=True)
            if score is not None
        ]
    }


def test_a_study_goes_from_its_opening_to_the_choice(engineer, study, bearing):
    assert (study["element"], study["opened_by"]) == (bearing.pk, "ada")
    assert [(each["kind"], each["name"], each["weight"]) for each in study["criteria"]] == [
        ("traffic", "Traffic", 3.0),
        ("cost", "Cost", 1.0),
    ]
    own = {"kind": "own", "name": "Noise at night", "weight": 0}
    assert engineer.post(at(study, "criteria"), own).status_code == 201
    replaced = {"name": "Replace", "description": "Jack it up", "cost": "9000.50",
                "duration_days": 3}  # fmt: skip
    told = engineer.post(of(study, 0, "change"), replaced).json()
    assert (told["options"][0]["cost"], told["options"][0]["duration_days"]) == ("9000.50", 3)
    assert engineer.post(of(study, 0, "judgements"), judged(study, 5, 1)).status_code == 201
    told = engineer.post(of(study, 1, "judgements"), judged(study, 2, 4)).json()
    # (3 x 5 + 1 x 1) / 4 and (3 x 2 + 1 x 4) / 4, by hand
    assert [(each["mean"], each["first"]) for each in told["means"]] == [(4.0, True), (2.5, False)]
    weights = [{"criterion": told["criteria"][1]["id"], "weight": 9}]
    told = engineer.post(at(study, "weights"), {"weights": weights}).json()
    # (3 x 5 + 9 x 1) / 12 and (3 x 2 + 9 x 4) / 12, by hand
    assert [(each["mean"], each["first"]) for each in told["means"]] == [(2.0, False), (3.5, True)]
    dropped = engineer.post(of(study, 0, "drop"), {"reason": "No jacking points."}).json()
    assert dropped["options"][0]["dropped_by"] == "ada"
    assert [each["option"] for each in dropped["means"]] == [study["options"][1]["id"]]
    again = engineer.post(of(study, 0, "take-up"), {"reason": "Brackets can be bolted on."})
    assert again.json()["options"][0]["dropped_at"] is None
    choice = {"option": study["options"][1]["id"], "reason": "It costs a tenth."}
    chosen = engineer.post(at(study, "choose"), choice).json()
    assert (chosen["chosen"], chosen["chosen_by"]) == (choice["option"], "ada")
    assert [(each["what"], each["who"], each["why"]) for each in chosen["story"]] == [
        ("Chosen: Reset", "ada", "It costs a tenth."),
        ("Taken up again: Replace", "ada", "Brackets can be bolted on."),
        ("Dropped: Replace", "ada", "No jacking points."),
    ]
    assert engineer.get(at(study)).json() == chosen


def test_it_tells_what_the_page_shows(engineer, study, as_role):
    engineer.post(of(study, 0, "judgements"), judged(study, 2, None, word="Closes a lane."))
    other = Caller(make_user("engineer", username="grace"))
    other.post(of(study, 0, "judgements"), judged(study, 4, None, word="Only at night."))
    engineer.post(of(study, 1, "judgements"), judged(study, 2, 4))
    told = engineer.get(at(study)).json()
    page = words(as_role("inspector").get(f"/options/{study['id']}/"))
    cell = told["criteria"][0]["judgements"][0]
    assert (cell["last"]["score"], cell["last"]["word"]) == (4, "rather good")
    assert [each["judged_by"] for each in (cell["last"], *cell["earlier"])] == ["grace", "ada"]
    assert told["criteria"][1]["judgements"][0] == {
        "option": study["options"][0]["id"], "last": None, "earlier": [],
    }  # fmt: skip
    assert told["means"][0]["missing"] == [told["criteria"][1]["id"]]
    assert told["findings"]
    for text in (
        *told["findings"],
        *(each["name"] for each in told["criteria"]),
        "4 rather good Only at night. grace",
        "2: Closes a lane. (ada",
    ):
        assert text in page
    means = matrix_of(OptionStudy.objects.get()).means
    assert [f"{each['mean']:.2f}" for each in told["means"]] == [each.shown for each in means]


def test_each_write_takes_place_once(engineer, bearing, study):
    for address, body in (
        ("option-studies/", NEW),
        (at(study, "options"), {"name": "Leave it"}),
        (of(study, 0, "judgements"), judged(study, 5, 1)),
    ):
        first = engineer.post(address, body, key="sent-twice" + address)
        second = engineer.post(address, body, key="sent-twice" + address)
        assert (second.status_code, second.json()) == (201, first.json())
        assert second["Idempotency-Replayed"] == "true"
    told = engineer.get(at(study)).json()
    assert [each["name"] for each in told["options"]] == ["Replace", "Reset", "Leave it"]
    assert told["criteria"][0]["judgements"][0]["earlier"] == []


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"title": ""}, "title"),
        ({"question": "x" * 4001}, "question"),
        ({"criteria": [{"kind": "traffic"}, {"kind": "traffic"}]}, "criteria[1]"),
        ({"criteria": [{"kind": "own"}]}, "criteria[0].name"),
        ({"criteria": [{"kind": "cost", "weight": 101}]}, "criteria[0].weight"),
        ({"criteria": [{"kind": "cost", "weight": "nan"}]}, "criteria[0].weight"),
        ({"flag": 2**62}, "flag"),
        ({"titel": "x"}, "titel"),
    ],
)
def test_a_study_that_cannot_be_opened_is_refused_at_its_field(engineer, bearing, change, field):
    assert fields_of(is_problem(engineer.post("option-studies/", NEW | change), 400)) == [field]
    assert not OptionStudy.objects.exists()


def test_an_element_of_another_bridge_is_refused(engineer, bearing):
    make_bridge("B-2")
    body = NEW | {"bridge": "B-2", "element": bearing.pk}
    assert fields_of(is_problem(engineer.post("option-studies/", body), 400)) == ["element"]


def test_judgements_that_cannot_be_are_refused_and_none_is_written(engineer, study):
    other = engineer.post("option-studies/", NEW | {"title": "Another"}).json()
    foreign = judged(study, 5, 1)
    foreign["judgements"][1]["criterion"] = other["criteria"][0]["id"]
    twice = judged(study, 5, 1)
    twice["judgements"][1]["criterion"] = study["criteria"][0]["id"]
    wordless = {"judgements": [{"criterion": study["criteria"][0]["id"], "words": "Good"}]}
    for body, field in (
        (judged(study, 5, 6), "judgements[1].score"),
        (foreign, "judgements[1].criterion"),
        (twice, "judgements[1].criterion"),
        (wordless, "judgements[0].score"),
        ({"judgements": []}, "judgements"),
    ):
        told = is_problem(engineer.post(of(study, 0, "judgements"), body), 400)
        assert fields_of(told) == [field]
    assert engineer.get(at(study)).json() == study


def test_a_judgement_that_changes_nothing_is_refused_and_of_two_the_new_one_is_kept(
    engineer, study
):
    engineer.post(of(study, 0, "judgements"), judged(study, 5, 1))
    is_problem(engineer.post(of(study, 0, "judgements"), judged(study, 5, 1)), 409)
    told = engineer.post(of(study, 0, "judgements"), judged(study, 5, 2)).json()
    assert [len(row["judgements"][0]["earlier"]) for row in told["criteria"]] == [0, 1]


def test_weights_that_cannot_be_are_refused_and_none_is_changed(engineer, study):
    other = engineer.post("option-studies/", NEW | {"title": "Another"}).json()
    first, second = (each["id"] for each in study["criteria"])
    for wrong, field in (
        ([(first, 5), (second, -1)], "weights[1].weight"),
        ([(first, 5), (second, "nan")], "weights[1].weight"),
        ([(first, 5), (other["criteria"][0]["id"], 1)], "weights[1].criterion"),
        ([(first, 5), (first, 6)], "weights[1].criterion"),
        ([], "weights"),
    ):
        body = {"weights": [{"criterion": pk, "weight": weight} for pk, weight in wrong]}
        assert fields_of(is_problem(engineer.post(at(study, "weights"), body), 400)) == [field]
    assert engineer.get(at(study)).json() == study


def test_reasons_are_asked_for_and_the_state_of_things_is_told(engineer, study):
    for address in (of(study, 0, "drop"), of(study, 0, "take-up"), at(study, "choose")):
        body = {"option": study["options"][0]["id"]} if address.endswith("choose/") else {}
        told = is_problem(engineer.post(address, body | {"reason": " "}), 400)
        assert fields_of(told) == ["reason"]
    reason = {"reason": "Because."}
    is_problem(engineer.post(of(study, 0, "take-up"), reason), 409)
    assert engineer.post(of(study, 0, "drop"), reason).status_code == 200
    is_problem(engineer.post(of(study, 0, "judgements"), judged(study, 5, 1)), 409)
    choice = reason | {"option": study["options"][0]["id"]}
    assert fields_of(is_problem(engineer.post(at(study, "choose"), choice), 400)) == ["option"]
    same_name = engineer.post(at(study, "options"), {"name": "Reset"})
    assert "of this name" in is_problem(same_name, 409)["detail"]
    again = engineer.post(at(study, "criteria"), {"kind": "cost"})
    assert "has this criterion" in is_problem(again, 409)["detail"]


def test_queries_of_one_study_do_not_grow_with_what_was_judged(engineer, study):
    def queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            assert engineer.get(at(study)).status_code == 200
        return len(asked)

    engineer.post(of(study, 0, "judgements"), judged(study, 5, 1))
    few = queries()
    for number in range(3):
        told = engineer.post(at(study, "options"), {"name": f"Way {number}"}).json()
        engineer.post(of(told, -1, "judgements"), judged(study, 4, number + 1))
    engineer.post(of(told, -1, "drop"), {"reason": "Too slow."})
    assert queries() == few <= 20


def test_an_option_is_reached_through_its_own_study_alone(engineer, study):
    other = engineer.post("option-studies/", NEW | {"title": "Another"}).json()
    address = at(other, "options", study["options"][0]["id"], "drop")
    is_problem(engineer.post(address, {"reason": "Not mine."}), 404)


def test_a_study_of_another_district_is_not_there(study):
    elsewhere = District.objects.create(code="C", name="Coast")
    stranger = Caller(make_user("engineer", district=elsewhere))
    is_problem(stranger.get(at(study)), 404)
    is_problem(stranger.post(at(study, "options"), {"name": "Mine"}), 404)
    assert fields_of(is_problem(stranger.post("option-studies/", NEW), 400)) == ["bridge"]
