"""Agency settings: who may change them, what a change would do, and what it then does."""

import datetime as dt
import hashlib

import pytest
from django.apps import apps
from django.core import serializers
from django.core.exceptions import ValidationError

from inspections.models import AgencySettings, Due, ElementStatus, Flag, OptionStudy
from inspections.selectors.thresholds import bridges_to_preview, history_of_settings, preview_of
from inspections.services import thresholds
from inspections.services.judge import judge_bridges
from inspections.services.visits import submit
from tests.inspections.desk_rows import words
from tests.make import (
    SET_AT_20_C,
    make_bridge,
    make_element,
    make_inspection,
    make_unit,
    make_user,
    read,
)

pytestmark = pytest.mark.django_db

TODAY = dt.date(2024, 9, 1)
FIGURES = thresholds.FIGURES


@pytest.fixture
def bridge():
    """Two bearings 100 m from the fixed point: one 2.2, one 9 standard uncertainties off."""
    unit = make_unit(make_bridge("B-1"))
    visit = make_inspection(unit.bridge, dt.date(2024, 2, 1))
    for code, offset_mm in (("NEAR", -32.0), ("FAR", 0.0)):
        bearing = make_element(
            unit,
            code=code,
            installation=SET_AT_20_C,
            design={"movement_back_mm": 120.0, "movement_ahead_mm": 120.0},
        )
        read(visit, bearing, "offset_along", offset_mm, -15.0 if code == "NEAR" else None)
    submit(inspection=visit)
    return unit.bridge


def form(**changes):
    present = AgencySettings.current()
    return (
        {name: getattr(present, name) for name in FIGURES}
        | {"based_on": thresholds.present_version(), "reason": ""}
        | changes
    )


def save(user, reason="Agreed in the spring review", **figures):
    return thresholds.save_settings(
        figures=figures, reason=reason, user=user, based_on=thresholds.present_version()
    )


def everything() -> dict[str, str]:
    """A checksum of every table of ours."""
    return {
        model.__name__: hashlib.sha256(
            serializers.serialize("json", model.objects.order_by("pk")).encode()
        ).hexdigest()
        for label in ("inventory", "inspections")
        for model in apps.get_app_config(label).get_models()
    }


@pytest.mark.parametrize("role", ["inspector", "manager"])
def test_who_may_not_change_the_figures_sees_them_without_a_form(as_role, role):
    client = as_role(role)
    page = words(client.get("/thresholds/"))
    assert "Out of range above, standard uncertainties" in page
    assert "Judgement, no published source." in page
    assert "Show what would change" not in page
    assert client.post("/thresholds/", form(watch_k=1.5)).status_code == 403


def test_an_outsider_sees_nothing(as_role):
    assert as_role(None).get("/thresholds/").status_code == 403


def test_a_preview_writes_nothing(as_role, bridge):
    client = as_role("engineer")
    before = everything()
    page = words(client.post("/thresholds/", form(out_k=20, watch_k=10, act="preview-all")))
    client.get(f"/thresholds/preview/{bridge.pk}/?out_k=20&watch_k=10")
    assert "Nothing is saved yet" in page
    assert everything() == before


def test_the_preview_tells_what_saving_then_gives(bridge):
    engineer = make_user("engineer")
    now = AgencySettings.current()
    then = thresholds.proposed(now, {"watch_k": 8.0, "out_k": 19.0})
    told = preview_of(bridge, now, then, ["watch_k", "out_k"], TODAY)
    assert told.before != told.after
    save(engineer, watch_k=8.0, out_k=19.0)
    after = dict.fromkeys(told.after, 0)
    for verdict in ElementStatus.objects.values_list("verdict", flat=True):
        after[verdict] += 1
    assert after == told.after
    for change in told.changes:
        flag = (
            Flag.objects.filter(element=change.element, pk=change.flag_id or 0).first()
            or Flag.objects.filter(element=change.element).first()
        )
        stands = (
            ""
            if not change.after
            else f"{flag.get_state_display()}, {flag.get_severity_display().lower()}"
        )
        assert change.after == stands


def test_a_stricter_threshold_opens_a_flag_that_the_preview_names(bridge):
    now = AgencySettings.current()
    mild = thresholds.proposed(now, {"watch_k": 9.9, "out_k": 20.0})
    save(make_user("engineer"), watch_k=9.9, out_k=20.0)
    assert not Flag.objects.filter(element__code="NEAR", cause="position").exists()
    [opened] = [
        each
        for each in preview_of(bridge, mild, now, ["watch_k", "out_k"], TODAY).changes
        if each.element.code == "NEAR"
    ]
    assert (opened.what, opened.before) == ("opens", "")


def test_the_page_shows_a_bridge_at_a_time_for_a_large_stock(as_role, bridge):
    client = as_role("engineer")
    page = client.post("/thresholds/", form(watch_k=1.0, act="preview")).content.decode()
    assert f'data-address="/thresholds/preview/{bridge.pk}/"' in page
    assert 'data-query="watch_k=1.0"' in page
    part = client.get(f"/thresholds/preview/{bridge.pk}/?watch_k=10&out_k=20")
    assert "NEAR" in words(part)
    assert client.get(f"/thresholds/preview/{bridge.pk}/?watch_k=lots").status_code == 400
    assert client.get("/thresholds/preview/0/?watch_k=1").status_code == 404


def test_a_saved_change_is_told_with_who_from_what_to_what_and_why(client, bridge):
    engineer = make_user("engineer")
    client.force_login(engineer)
    client.post("/thresholds/", form(watch_k=1.5, act="save", reason="Spring review"))
    [change] = history_of_settings()
    assert (change.by, change.reason) == (engineer.username, "Spring review")
    assert change.figures == [("watch_k", 2.0, 1.5)]
    save(engineer, reason="Too many", watch_k=1.8)
    assert [each.figures for each in history_of_settings()] == [
        [("watch_k", 1.5, 1.8)],
        [("watch_k", 2.0, 1.5)],
    ]
    page = words(client.get("/thresholds/"))
    assert "1.5 → 1.8" in page
    assert "(your own)" in page


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"watch_k": 1.5}, "Say why"),
        ({"reason": "No change"}, "Nothing is different"),
        ({"watch_k": 99, "reason": "Typing"}, "99 is above 10"),
        ({"watch_k": 5, "reason": "Wrong way"}, "not below 3"),
        ({"watch_k": 1.5, "reason": "Late", "based_on": 4711}, "Somebody else has changed"),
        ({"currency": "eur", "reason": "Money"}, "three capital letters"),
    ],
)
def test_what_cannot_be_saved_says_why_and_keeps_what_was_entered(as_role, changes, told):
    response = as_role("engineer").post("/thresholds/", form(act="save", **changes))
    assert told in words(response)
    assert f'value="{changes.get("watch_k", 2.0)}"' in response.content.decode()
    assert not AgencySettings.objects.exists()


def test_of_two_who_change_at_once_the_second_is_shown_what_holds_now():
    first, second = make_user("engineer"), make_user("engineer")
    seen = thresholds.present_version()
    save(first, watch_k=1.5)
    with pytest.raises(ValidationError) as refusal:
        thresholds.save_settings(
            figures={"watch_k": 1.2}, reason="Mine", user=second, based_on=seen
        )
    assert "Somebody else has changed" in refusal.value.messages[0]
    assert AgencySettings.current().watch_k == 1.5


def test_having_seen_what_holds_now_the_second_may_save(as_role):
    client = as_role("engineer")
    late = form(watch_k=1.2, act="save", reason="Mine")
    save(make_user("engineer"), watch_k=1.5)
    response = client.post("/thresholds/", late)
    assert "Now 1.5" in words(response)
    bound = response.context["form"]
    again = late | {name: bound[name].value() for name in ("based_on", *FIGURES)}
    client.post("/thresholds/", again)
    assert AgencySettings.current().watch_k == 1.2


def test_what_the_second_left_alone_stays_as_the_first_made_it(as_role):
    client = as_role("engineer")
    late = form(watch_k=1.2, act="save", reason="Mine")
    save(make_user("engineer"), out_k=4.0)
    bound = client.post("/thresholds/", late).context["form"]
    client.post(
        "/thresholds/", late | {name: bound[name].value() for name in ("based_on", *FIGURES)}
    )
    assert (AgencySettings.current().watch_k, AgencySettings.current().out_k) == (1.2, 4.0)


def test_a_flag_that_a_study_names_is_previewed_as_it_would_be_saved(bridge):
    flag = Flag.objects.get(element__code="NEAR", cause="position")
    OptionStudy.objects.create(bridge=bridge, flag=flag, title="Ways", question="Which?")
    then = thresholds.proposed(AgencySettings.current(), {"watch_k": 9.9, "out_k": 20.0})
    told = preview_of(bridge, AgencySettings.current(), then, ["watch_k", "out_k"], TODAY)
    [change] = [each for each in told.changes if each.flag_id == flag.pk]
    save(make_user("engineer"), watch_k=9.9, out_k=20.0)
    flag.refresh_from_db()
    assert change.after == flag.get_state_display()


def test_weights_and_money_judge_nothing_again(bridge, django_assert_max_num_queries):
    engineer = make_user("engineer")
    judged = ElementStatus.objects.values_list("pk", flat=True)
    before = list(judged.all())
    save(engineer, weight_age=50.0, currency="EUR")
    assert list(judged.all()) == before
    save(engineer, watch_k=1.9)
    assert list(judged.all()) != before


def test_an_interval_changes_what_is_due_in_preview_and_after_saving(bridge):
    judge_bridges([bridge.pk])
    now = AgencySettings.current()
    then = thresholds.proposed(now, {"routine_interval_months": 1.0})
    told = preview_of(bridge, now, then, ["routine_interval_months"], TODAY)
    assert told.due_after > told.due_before
    save(make_user("engineer"), routine_interval_months=1.0)
    assert Due.objects.filter(bridge=bridge, due_on__lte=TODAY).count() == told.due_after


def test_other_weights_show_where_the_first_flags_would_stand(as_role, bridge):
    page = words(as_role("engineer").post("/thresholds/", form(weight_age=90, act="preview")))
    assert "First of the queue then" in page
    assert "B-1 FAR" in page


def test_only_bridges_with_elements_are_reckoned(bridge):
    make_bridge("STOCK")
    assert [each.code for each in bridges_to_preview()] == ["B-1"]


def test_the_page_asks_no_more_often_for_a_long_history(as_role, django_assert_max_num_queries):
    engineer = make_user("engineer")
    for number in range(1, 12):
        save(engineer, weight_age=float(number))
    client = as_role("engineer")
    with django_assert_max_num_queries(12):
        client.get("/thresholds/")
