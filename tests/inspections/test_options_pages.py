"""Pages of options side by side: who may what, what is refused, what they cost."""

import re
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inspections.models import OptionStudy
from inspections.services.options import (
    NewCriterion,
    NewJudgement,
    add_option,
    choose_option,
    drop_option,
    judge_option,
    open_study,
)
from tests import rows_desk
from tests.inspections.desk_rows import words
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db
ENOUGH = 30


@pytest.fixture
def bearing():
    return make_element(make_unit(make_bridge("B-1")), code="P-1")


def a_study(bearing, title="Frozen bearing"):
    return open_study(
        bridge=bearing.bridge,
        element=bearing,
        title=title,
        question="How can it move again?",
        criteria=[NewCriterion("traffic"), NewCriterion("cost")],
        user=make_user("engineer"),
    )


@pytest.mark.parametrize(
    ("role", "reads", "changes", "prints"),
    [
        ("inspector", 200, 403, 403),
        ("engineer", 200, 200, 200),
        ("manager", 200, 403, 200),
        (None, 403, 403, 403),
    ],
)
def test_each_role_reaches_just_its_pages(as_role, bearing, role, reads, changes, prints):
    study = a_study(bearing)
    option = add_option(study=study, name="Replace")
    client = as_role(role)
    at = f"/options/{study.pk}/"
    for address in ("/options/", at):
        assert client.get(address).status_code == reads, address
    for address in (
        f"/options/new/?element={bearing.pk}",
        f"{at}options/new/",
        f"{at}criteria/new/",
        f"{at}weights/",
        f"{at}choose/",
        f"{at}options/{option.pk}/",
        f"{at}options/{option.pk}/judge/",
        f"{at}options/{option.pk}/drop/",
        f"{at}options/{option.pk}/take-up/",
    ):
        assert client.get(address).status_code == changes, address
    assert client.get(f"{at}paper.pdf").status_code == prints


def test_a_manager_cannot_send_what_the_page_does_not_offer(as_role, bearing):
    study = a_study(bearing)
    option = add_option(study=study, name="Replace")
    client = as_role("manager")
    response = client.post(f"/options/{study.pk}/choose/", {"option": option.pk, "why": "Mine"})
    assert response.status_code == 403
    study.refresh_from_db()
    assert study.chosen is None


def test_from_an_element_to_a_reasoned_choice(as_role, bearing):
    client = as_role("engineer")
    response = client.post(
        f"/options/new/?element={bearing.pk}",
        {"title": "Frozen bearing", "question": "Let it move.", "criteria": ["traffic", "cost"]},
    )
    study = OptionStudy.objects.get()
    at = f"/options/{study.pk}/"
    assert response.url == at
    client.post(f"{at}options/new/", {"name": "Replace", "cost": "12500.50", "duration_days": "12"})
    option = study.options.get()
    assert option.cost == Decimal("12500.50")
    traffic, cost = study.criteria.all()
    client.post(
        f"{at}options/{option.pk}/judge/",
        {f"s{traffic.pk}": "2", f"t{traffic.pk}": "Two nights closed", f"s{cost.pk}": "4"},
    )
    client.post(f"{at}choose/", {"option": option.pk, "why": "Its maker still has the parts."})
    told = words(client.get(at))
    assert "Two nights closed" in told
    assert "Chosen: Replace" in told
    assert "Its maker still has the parts." in told
    assert "USD 12 500.50" in told
    assert "The numbers do not decide" in told


def test_judging_again_without_a_change_adds_nothing(as_role, bearing):
    study = a_study(bearing)
    option = add_option(study=study, name="Replace")
    traffic, cost = study.criteria.all()
    client = as_role("engineer")
    at = f"/options/{study.pk}/options/{option.pk}/judge/"
    sent = {f"s{traffic.pk}": "2", f"t{traffic.pk}": "Closed"}
    client.post(at, sent)
    response = client.post(at, sent)
    assert "No judgement was changed" in words(response)
    client.post(at, sent | {f"s{cost.pk}": "3"})
    assert [each.score for each in option.judgements.order_by("pk")] == [2, 3]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("12,500", "nothing between thousands"),
        ("12 500", "nothing between thousands"),
        ("1.234", "such as 12500 or 12500.50"),
        ("-5", "is below 0"),
        ("NaN", "is no amount"),
        ("1e5", "is no amount"),
        ("USD 5", "leave the currency out"),
    ],
)
def test_an_amount_that_could_be_misread_is_refused_and_stays_in_the_field(
    as_role, bearing, typed, says
):
    study = a_study(bearing)
    response = as_role("engineer").post(
        f"/options/{study.pk}/options/new/", {"name": "Replace", "cost": typed}
    )
    assert says in words(response)
    assert f'value="{typed}"' in response.content.decode()
    assert not study.options.exists()


def test_words_without_a_judgement_are_asked_about(as_role, bearing):
    study = a_study(bearing)
    option = add_option(study=study, name="Replace")
    traffic = study.criteria.first()
    response = as_role("engineer").post(
        f"/options/{study.pk}/options/{option.pk}/judge/", {f"t{traffic.pk}": "Closed"}
    )
    assert "Give the judgement that these words explain" in words(response)


def test_the_empty_list_says_what_belongs_there(as_role):
    assert "No study has been opened yet" in words(as_role("engineer").get("/options/"))


def test_the_list_is_narrowed_to_what_is_not_chosen_yet(as_role, bearing):
    chosen, _open = a_study(bearing, "Chosen one"), a_study(bearing, "Open one")
    choose_option(
        study=chosen,
        option=add_option(study=chosen, name="Replace"),
        why="It lasts.",
        user=make_user("engineer"),
    )
    told = words(as_role("manager").get("/options/?choice=open"))
    assert "Open one" in told
    assert "Chosen one" not in told


def test_a_study_that_is_not_there_is_not_found(as_role, bearing):
    client = as_role("engineer")
    assert client.get("/options/99/").status_code == 404
    assert client.get("/options/new/?element=99999999999999999999").status_code == 404
    assert client.get("/options/new/?flag=x").status_code == 404
    assert "begins at what is to be mended" in words(client.get("/options/new/"))


def queries(client, address: str) -> int:
    client.get(address)
    with CaptureQueriesContext(connection) as captured:
        assert client.get(address).status_code == 200
    return len(captured)


def test_queries_do_not_grow_with_studies_options_or_judgements(as_role, bearing):
    client, engineer = as_role("engineer"), make_user("engineer")
    study = a_study(bearing)

    def fill(count: int) -> None:
        for number in range(count):
            option = add_option(study=study, name=f"Option {study.options.count()}")
            judge_option(
                option=option,
                judgements=[NewJudgement(each, 1 + number % 5) for each in study.criteria.all()],
                user=engineer,
            )
            if number % 5 == 4:
                drop_option(option=option, why="Too slow.", user=engineer)

    fill(5)
    addresses = ["/options/", f"/options/{study.pk}/"]
    one = [queries(client, address) for address in addresses]
    fill(45)
    for number in range(49):
        a_study(bearing, f"Study {number}")
    assert [queries(client, address) for address in addresses] == one
    assert max(one) <= ENOUGH


def test_every_criterion_is_ticked_to_begin_with(as_role, bearing):
    page = as_role("engineer").get(f"/options/new/?element={bearing.pk}").content.decode()
    ticked = re.findall(r'name="criteria" value="(\w+)"[^>]*checked', page)
    assert {"load_path", "cost", "risk"} <= set(ticked)
    assert "own" not in ticked


def test_who_comes_from_a_flag_goes_back_to_it(as_role, bearing):
    flag = rows_desk.flag(bearing)
    page = as_role("engineer").get(f"/options/new/?flag={flag.pk}").content.decode()
    assert re.search(rf'href="/flags/{flag.pk}/">\s*Cancel', page)


def test_the_amount_says_how_it_is_typed_before_it_is_refused(as_role, bearing):
    study = a_study(bearing)
    page = words(as_role("engineer").get(f"/options/{study.pk}/options/new/"))
    assert "Digits alone, such as 12500 or 12500.50." in page


def test_a_choice_leads_on_to_the_order_or_to_the_flag(as_role, bearing):
    flag = rows_desk.flag(bearing)
    study = a_study(bearing)
    study.flag = flag
    study.save()
    option = add_option(study=study, name="Replace")
    at = f"/options/{study.pk}/"
    client = as_role("engineer")
    assert "Next:" not in words(client.get(at))
    choose_option(study=study, option=option, why="It lasts.", user=make_user("engineer"))
    response = client.get(at)
    told = words(response)
    assert "Next: order the work , or decide on its flag where none is to be done." in told
    assert f'href="/work/new/?flag={flag.pk}&amp;study={study.pk}"' in response.content.decode()
    assert "Next:" not in words(as_role("manager").get(at))
