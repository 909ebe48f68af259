"""The inspector's way in German, all else in English, and the same rows whichever is read."""

import datetime as dt

import pytest
from django.urls import reverse

from fixtures import make_languages as made
from inspections.languages import TRANSLATED
from inspections.models import Preference, Reading, Verdict
from tests.inspections.field_pages import enter, form_of, page_of, temperatures
from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user

pytestmark = pytest.mark.django_db
DAY = dt.date(2024, 6, 1)
SETTING = {
    "setting_source": "measured",
    "setting_temperature_c": 20.0,
    "setting_gap_mm": 50.0,
    "setting_offset_along_mm": 0.0,
    "setting_offset_across_mm": 0.0,
    "setting_rotation_mrad": 0.0,
}


@pytest.fixture
def joint():
    unit = make_unit(make_bridge("S-1"))
    make_element(unit, "pot", code="B1", installation=SETTING)
    return make_element(
        unit, "strip_seal", code="J1", installation=SETTING,
        design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
    )  # fmt: skip


@pytest.fixture
def visit(joint):
    return make_inspection(joint.bridge, DAY)


@pytest.fixture
def german(as_role):
    """Sign in with a role and choose German."""

    def sign_in(role: str):
        client = as_role(role)
        client.post("/language/", {"language": "de"})
        return client

    return sign_in


def test_the_choice_is_kept_and_comes_back_with_the_next_sign_in(client):
    user = make_user("inspector")
    user.set_password("kelp orbit saddle twine")
    user.save()
    client.force_login(user)
    client.post("/language/", {"language": "de", "next": "/account/"})
    assert Preference.objects.get(user=user).language == "de"
    client.post("/sign-out/")
    assert 'lang="en"' in page_of(client.get("/sign-in/"))

    client.post("/sign-in/", {"username": user.username, "password": "kelp orbit saddle twine"})
    page = page_of(client.get("/account/"))
    assert '<html lang="de">' in page
    assert "<h1>Ihr Konto</h1>" in page


def test_before_signing_in_the_browser_is_asked_and_the_switch_wins(client):
    page = page_of(client.get("/sign-in/", headers={"accept-language": "de-AT,en;q=0.5"}))
    assert '<html lang="de">' in page
    assert ">Passwort vergessen<" in page
    client.post("/language/", {"language": "en", "next": "/sign-in/"})
    page = page_of(client.get("/sign-in/", headers={"accept-language": "de-AT,en;q=0.5"}))
    assert '<html lang="en">' in page
    assert ">Password forgotten<" in page


def test_an_unknown_language_is_refused_in_words(client):
    answer = client.post("/language/", {"language": "xx", "next": "/sign-in/"}, follow=True)
    assert "That language is not spoken here" in page_of(answer)


def test_a_page_that_is_not_translated_stays_english_within_a_german_frame(client, admin_user):
    client.force_login(admin_user)
    client.post("/language/", {"language": "de"})
    page = page_of(client.get("/admin/auth/group/"))

    assert '<html lang="en"' in page
    assert ">Prüfungen</a>" in page  # the navigation
    assert "Select group to change" in page


@pytest.mark.parametrize(
    "address", ["/api/v1/elements/", "/inspections.csv", "/api/schema/", "/plan/due.csv"]
)
def test_what_programs_read_is_the_same_for_every_reader(german, as_role, visit, address):
    english = as_role("inspector").get(address)
    told = german("inspector").get(address, headers={"accept-language": "de"})

    assert told.status_code == english.status_code == 200
    assert b"".join(told) == b"".join(english)


def filled_in(client, visit, joint, *, point: str) -> None:
    """Enter temperatures and readings, hand in, accept and correct."""
    temperatures(client, visit, {"value": f"18{point}5"}, {"place": "deck_soffit", "value": "19"})
    enter(
        client, visit, joint,
        **{f"gap-{at}-1": f"7{n}{point}25" for n, at in enumerate(("left", "centre", "right"))},
    )  # fmt: skip
    client.post(reverse("inspection-submit", args=[visit.pk]))
    client.post(reverse("inspection-accept", args=[visit.pk]), {"note": "ok"})
    reading = Reading.objects.get(point="left")
    client.post(
        reverse("reading-correct", args=[reading.pk]),
        {"value": f"70{point}5 mm", "reason": "digits exchanged"},
    )


def rows() -> list[tuple]:
    """Return what is kept of readings and verdicts, but keys and times of writing."""
    readings = Reading.objects.order_by("pk").values_list("point", "value", "typed", "remark")
    verdicts = Verdict.objects.order_by("reading__pk").values_list(
        "value", "expected", "verdict", "reasons", "problem", "setting_from"
    )
    return [*readings, *verdicts]


def test_what_is_kept_is_the_same_in_every_language(german, as_role, django_db_blocker):
    kept = []
    for sign_in, point in ((as_role, "."), (german, ",")):
        unit = make_unit(make_bridge())
        joint = make_element(
            unit, "strip_seal", code="J1", installation=SETTING,
            design={"opening_min_mm": 5.0, "opening_max_mm": 130.0},
        )  # fmt: skip
        visit = make_inspection(joint.bridge, DAY)
        filled_in(sign_in("engineer"), visit, joint, point=point)
        kept.append(rows())
        Verdict.objects.all().delete()
        Reading.objects.filter(corrects__isnull=False).delete()
        Reading.objects.all().delete()

    assert len(kept[0]) > 5
    assert kept[0] == kept[1]
    assert {"70.25 mm", "70.5 mm"} <= {row[2] for row in kept[1]}


def test_a_form_shows_and_takes_the_comma_and_keeps_what_was_refused(german, visit, joint):
    client = german("inspector")
    temperatures(client, visit, {"value": "18,5"})

    page = page_of(enter(client, visit, joint, **{"gap-left-1": "1.234", "gap-centre-1": "7,x"}))
    assert "«1.234» ist auf zwei Arten lesbar" in page
    assert 'value="1.234"' in page
    assert "«x» ist keine Einheit dieser Größe" in page
    assert 'value="7,x"' in page
    assert not Reading.objects.exists()

    page = page_of(enter(client, visit, joint, **{"gap-left-1": "72,25"}))
    assert Reading.objects.get().value == 72.25
    assert "eingegeben 72,25 mm" in page
    assert "1 Messwert erfasst." in page


def addresses(visit, joint, reading):
    """Return the pages of the inspector's way."""
    return [
        "/account/",
        "/account/password/",
        "/inspections/",
        "/inspections/?state=accepted",
        "/inspections/new/",
        reverse("inspection", args=[visit.pk]),
        reverse("temperature-form", args=[visit.pk]),
        form_of(visit, joint),
        reverse("reading-correct", args=[reading.pk]),
    ]


@pytest.mark.parametrize("role", ["inspector", "engineer"])
def test_no_text_of_the_way_is_left_in_english(german, visit, joint, role):
    """Every marked text that a German page holds stands there in German."""
    client = german(role)
    temperatures(client, visit, {"value": "18,5"})
    enter(client, visit, joint, **{"gap-left-1": "72,25"})
    english = {
        message.id: message.string
        for message in made.catalogue_of("de", "django")
        if isinstance(message.id, str)
        and len(message.id) > 12
        and "%(" not in message.id
        and message.id != message.string
    }
    for address in addresses(visit, joint, Reading.objects.get()):
        answer = client.get(address)
        assert answer.status_code == 200, address
        page = page_of(answer)
        left = [text for text in english if f">{text}<" in page or f'"{text}"' in page]
        left += [text for text in english if f"{text}." in page or (text in page and ". " in text)]
        assert left == [], address
        assert '<html lang="de">' in page
        assert "lang=" not in page[page.index("<main") : page.index("<main") + 60]


def test_the_packet_of_the_tablet_is_in_the_language_of_the_reader(german, as_role, visit):
    address = reverse("tablet-packet", args=[visit.pk])
    told = german("inspector").get(address).json()
    english = as_role("inspector").get(address).json()

    labels = {
        channel["label"]
        for stop in told["stops"]
        for element in stop["elements"]
        for channel in element["channels"]
    }
    assert {"Spaltweite", "Auslenkung längs", "Verdrehung"} <= labels
    assert told["left_out_reasons"][0]["code"] == english["left_out_reasons"][0]["code"]
    assert german("inspector").get("/field/inspections.json").json()["language"] == "de"


def test_a_refusal_to_the_tablet_is_told_in_german(german, visit):
    client = german("inspector")
    answer = client.post("/field/records", "{}", content_type="application/json").json()
    assert answer["title"] == "Kein Stapel von Einträgen"


def test_every_name_in_the_list_is_an_address():
    for name in TRANSLATED:
        assert any(_reverses(name, args) for args in ([], [1], ["x"], ["x", "y"], [1, 1], [UID]))


UID = "0" * 8 + "-0000-0000-0000-" + "0" * 12


def _reverses(name: str, args: list) -> bool:
    from django.urls import NoReverseMatch

    try:
        reverse(name, args=args)
    except NoReverseMatch:
        return False
    return True
