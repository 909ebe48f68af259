"""A study on paper: one page whatever it holds."""

import datetime as dt
import io
from decimal import Decimal

import pytest
from pypdf import PdfReader

from inspections.lookups.options import study_rows
from inspections.paper.option_study import write_option_study
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
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db
KINDS = ["load_path", "constructability", "access", "replaceable", "traffic", "time", "cost",
         "risk"]  # fmt: skip
LONG = "Lagerauswechslungsgerüstverankerungskonstruktion"
PRINTED_AT = dt.datetime(2024, 7, 2, 3, 30, tzinfo=dt.UTC)


def a_study(options: int, criteria: int, text: str, dropped: int = 1):
    """Return a study filled to the brim, and who filled it."""
    engineer = make_user("engineer", username=f"E. Gineer {text}"[:140])
    bearing = make_element(make_unit(make_bridge("B-1")), code="P-1")
    study = open_study(
        bridge=bearing.bridge,
        element=bearing,
        title=f"Frozen bearing {text}"[:160],
        question=f"How can it move again? {text}"[:4000],
        criteria=[NewCriterion(kind) for kind in KINDS[:criteria]],
        user=engineer,
    )
    for number in range(criteria - len(KINDS)):
        add_criterion(study=study, kind="own", name=f"Own {number} {text}"[:80], weight=2.5)
    made = []
    for number in range(options):
        option = add_option(
            study=study,
            name=f"{number} {text}"[:120],
            description=text[:4000],
            cost=Decimal("123456789.01"),
            duration_days=120,
        )
        judgements = [
            NewJudgement(each, 1 + (number + place) % 5, text[:400])
            for place, each in enumerate(study.criteria.all())
        ]
        if judgements:
            judge_option(option=option, judgements=judgements, user=engineer)
        made.append(option)
    for number in range(dropped):
        option = add_option(study=study, name=f"Dropped {number} {text}"[:120])
        drop_option(option=option, why=f"Cannot be reached. {text}"[:2000], user=engineer)
    if made:
        choose_option(
            study=study, option=made[-1], why=f"It stays replaceable. {text}"[:4000], user=engineer
        )
    return study_rows().get(pk=study.pk)


def printed(study, page_size="A4") -> PdfReader:
    file = io.BytesIO()
    write_option_study(
        study,
        file,
        currency="EUR",
        printed_at=PRINTED_AT,
        printed_by="P" * 150,
        page_size=page_size,
    )
    return PdfReader(file)


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("page_size", ["A4", "Letter"])
@pytest.mark.parametrize(
    ("options", "criteria", "text", "dropped"),
    [
        (8, 9, f"{LONG} " * 80, 3),
        (8, 9, "W" * 4000, 3),
        (25, 30, f"{LONG} " * 80, 25),
        (2, 3, "It takes two nights. " * 190, 1),
        (1, 0, "Short.", 0),
        (0, 0, "Short.", 0),
    ],
    ids=["long-words", "one-endless-word", "far-too-many", "long-texts", "one-option", "nothing"],
)
def test_it_is_one_page_whatever_it_holds(page_size, options, criteria, text, dropped):
    reader = printed(a_study(options, criteria, text, dropped), page_size)
    assert len(reader.pages) == 1
    assert "page 1 of 1" in text_of(reader)


def test_short_texts_are_printed_whole_and_without_the_notice():
    told = text_of(printed(a_study(3, 4, "It takes two nights.")))
    for text in (
        "How can it move again? It takes two nights.",
        "It stays replaceable. It takes two nights.",
        "Cannot be reached. It takes two nights.",
        "weight 1",
        "Signature",
        "Weighted mean",
        "numbers do not decide",
        "never replaces it",
    ):
        assert text in told
    assert "shortened" not in told


def test_shortened_texts_are_announced():
    told = text_of(printed(a_study(8, 9, f"{LONG} " * 80)))
    assert "Some texts are shortened" in told
    assert "…" in told


def test_what_is_left_out_for_want_of_room_is_counted_and_the_chosen_option_is_not():
    told = text_of(printed(a_study(12, 3, "Short.")))
    assert "3 × option" in told
    assert "11 Short. (chosen)" in told


def test_the_page_comes_on_the_paper_of_the_users_units(as_role):
    study = a_study(2, 2, "Short.")
    client = as_role("manager")
    address = f"/options/{study.pk}/paper.pdf"
    a4 = PdfReader(io.BytesIO(b"".join(client.get(address).streaming_content)))
    client.post("/preferences/units/", {"units": "us"})
    letter = PdfReader(io.BytesIO(b"".join(client.get(address).streaming_content)))
    assert [round(float(each.pages[0].mediabox.width)) for each in (a4, letter)] == [595, 612]
