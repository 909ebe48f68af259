"""Options side by side in a browser: from a flag to a reasoned choice."""

import re

import pytest
from playwright.sync_api import expect

from inspections.services.options import (
    NewCriterion,
    NewJudgement,
    add_criterion,
    add_option,
    choose_option,
    drop_option,
    judge_option,
    open_study,
)
from tests.browser.conftest import DESK
from tests.inspections.work_rows import a_unit, off_joints, position
from tests.make import make_user

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
KINDS = ["load_path", "constructability", "access", "replaceable", "traffic", "time", "cost"]


@pytest.fixture
def flag(transactional_db):
    (joint,) = off_joints(a_unit("HV-104"), "J-1")
    return position(joint)


@pytest.fixture
def study(flag):
    """A study with four options still in, one dropped, one chosen."""
    engineer = make_user("engineer")
    made = open_study(
        bridge=flag.element.bridge,
        flag=flag,
        title="Joint J-1 stands still",
        question="The gap does not follow the temperature. Let it move again for 15 years.",
        criteria=[NewCriterion(kind) for kind in KINDS],
        user=engineer,
    )
    add_criterion(study=made, kind="own", name="Noise at night", weight=0.5)
    options = [
        add_option(study=made, name=name, description=how)
        for name, how in (
            ("New joint", "Cut out both edges, two stages."),
            ("New seal only", "Lift the seal, clean the rails, press in a new one."),
            ("Free the bearings", "Grease and jack at night."),
            ("Leave it", "Watch it every 6 months."),
            ("Weld plates over it", ""),
        )
    ]
    for place, option in enumerate(options):
        judge_option(
            option=option,
            judgements=[
                NewJudgement(each, 1 + (place + number) % 5, "As the last three of this kind.")
                for number, each in enumerate(made.criteria.all())
                if (place, number) != (1, 2)
            ],
            user=engineer,
        )
    drop_option(option=options[4], why="It would close the gap for good.", user=engineer)
    choose_option(study=made, option=options[0], why="It lasts and stays replaceable.",
                  user=engineer)  # fmt: skip
    return made


def test_the_study_passes_axe_and_scrolls_only_within_its_matrix(open_as, assert_usable, study):
    option = study.options.first()
    for path in (
        "/options/",
        f"/options/{study.pk}/",
        f"/options/{study.pk}/choose/",
        f"/options/{study.pk}/weights/",
        f"/options/{study.pk}/options/{option.pk}/judge/",
    ):
        assert_usable(open_as("engineer", path))


def test_the_heads_stay_in_sight_while_the_matrix_scrolls(open_as, study):
    page = open_as("manager", f"/options/{study.pk}/")
    matrix = page.get_by_role("group", name="Options side by side")
    head = page.get_by_role("rowheader", name="Traffic")
    before = head.bounding_box()["x"]
    matrix.evaluate("each => each.scrollLeft = 200")
    assert head.bounding_box()["x"] == pytest.approx(before, abs=1)
    expect(page.get_by_role("link", name=re.compile("^Judge"))).to_have_count(0)


def test_from_a_flag_to_a_reasoned_choice(open_as, flag):
    page = open_as("engineer", f"/options/new/?flag={flag.pk}", on=DESK)
    page.get_by_label("What is to be mended").fill("Let it move again.")
    for box in page.get_by_role("checkbox").all():
        expect(box).to_be_checked()
        if box.get_attribute("value") not in ("traffic", "cost"):
            box.uncheck()
    page.get_by_role("button", name="Open the study").click()
    for name, cost in (("New joint", "42000"), ("New seal", "9000.50")):
        page.get_by_role("link", name="New option").click()
        page.get_by_label("Option", exact=True).fill(name)
        page.get_by_label("Cost [USD]").fill(cost)
        page.get_by_role("button", name="Add the option").click()
    for name, traffic, cost in (("New joint", "2 rather poor", "2 rather poor"),
                                ("New seal", "4 rather good", "5 good")):  # fmt: skip
        page.get_by_role("link", name=f"Judge {name}").click()
        page.get_by_role("group", name="Traffic").get_by_label(traffic).check()
        page.get_by_label("Traffic, in words").fill("One lane at night.")
        page.get_by_role("group", name="Cost").get_by_label(cost).check()
        page.get_by_role("button", name="Save the judgements").click()
    expect(page.get_by_text("«New seal» has the greatest weighted mean.")).to_be_visible()
    page.get_by_role("link", name="Choose", exact=True).click()
    page.get_by_label("New joint").check()
    page.get_by_label("Why this one").fill("The rails are worn: a seal would not hold.")
    page.get_by_role("button", name="Choose it").click()
    expect(page.get_by_text("Chosen: New joint").first).to_be_visible()
    with page.expect_download() as got:
        page.get_by_role("link", name="On one page (PDF)").click()
    assert got.value.suggested_filename.endswith(".pdf")
