"""What breaks each rule of flags, decisions, plans, events, options and work."""

import datetime as dt

from django.core.exceptions import NON_FIELD_ERRORS

from inspections.models import (
    ApiKey,
    Criterion,
    Decision,
    Event,
    EventBridge,
    Flag,
    HeldRole,
    IdempotentAnswer,
    Interval,
    Job,
    Option,
    PlainPage,
    PlannedVisit,
    SavedFilter,
    Seal,
    Sighting,
    WorkItem,
    WorkOrder,
)
from inspections.models.flags import NEEDS_A_DAY
from tests import rows_desk
from tests.inventory.constraint_case import Broken, Case, change, second_of
from tests.make import make_bridge, make_inspection
from tests.rows import valid_row

DAY = dt.date(2024, 7, 1)


def second_interval_of_a_bridge() -> Broken:
    bridge = make_bridge()
    Interval.objects.create(bridge=bridge, kind="routine", months=24)
    other = Interval.objects.create(bridge=bridge, kind="in_depth", months=72)
    return other, {"kind": "routine"}


def chosen_option(**changes) -> Broken:
    """Return a study with its choice made, for a reason."""
    study = rows_desk.study()
    study.chosen = Option.objects.create(study=study, name="Replace it")
    study.chosen_why = "Opens the road soonest."
    study.save()
    return study, changes


def dropped_option(**changes) -> Broken:
    option = valid_row(Option)
    option.dropped_at = rows_desk.AT
    option.dropped_why = "No room for a jack."
    option.save()
    return option, changes


def finished_order(**changes) -> Broken:
    return rows_desk.order(state="finished", finished_on=DAY), changes


def cancelled_order(**changes) -> Broken:
    why = {"cancelled_at": rows_desk.AT, "cancelled_why": "Mended by the other order."}
    return rows_desk.order(state="cancelled", **why), changes


def second_element_of_an_order() -> Broken:
    place = rows_desk.element()
    order = rows_desk.order(bridge=place.bridge)
    WorkItem.objects.create(order=order, element=place)
    flag = rows_desk.flag(place)
    return WorkItem.objects.create(order=order, element=place, flag=flag), {"flag": None}


def second_sighting() -> Broken:
    first = valid_row(Sighting)
    later = make_inspection(first.element.bridge, dt.date(2025, 6, 1))
    second = Sighting.objects.create(
        element=first.element,
        inspection=later,
        cause=first.cause,
        seen_at=first.seen_at,
        shown=True,
    )
    return second, {"inspection": first.inspection}


DESK = [
    # what forms offer
    Case("decision_kind_known", "kind", change(Decision, kind="?")),
    Case("decision_has_a_reason", "reason", change(Decision, reason="")),
    *(
        Case("decision_has_its_day", "until", change(Decision, kind=kind, until=None))
        for kind in NEEDS_A_DAY
    ),
    Case("saved_filter_name_once", NON_FIELD_ERRORS, second_of(SavedFilter, "name", "Other")),
    Case("interval_once_a_bridge", NON_FIELD_ERRORS, second_interval_of_a_bridge),
    Case("interval_once_an_element", NON_FIELD_ERRORS, second_of(Interval, "kind", "in_depth")),
    Case("event_kind_known", "kind", change(Event, kind="?")),
    Case("event_bridge_once", NON_FIELD_ERRORS, second_of(EventBridge, "bridge", make_bridge)),
    Case("planned_visit_kind_known", "kind", change(PlannedVisit, kind="?")),
    Case("study_choice_has_reason", "chosen_why", lambda: chosen_option(chosen_why="")),
    Case("criterion_once_a_study", NON_FIELD_ERRORS, second_of(Criterion, "kind", "cost")),
    Case("option_name_once", NON_FIELD_ERRORS, second_of(Option, "name", "Other")),
    Case("option_drop_has_reason", "dropped_why", lambda: dropped_option(dropped_why="")),
    Case("work_kind_known", "kind", change(WorkOrder, kind="?")),
    Case("work_finished_has_its_day", "finished_on", lambda: finished_order(finished_on=None)),
    Case("work_finished_has_its_day", "finished_on", lambda: finished_order(state="begun")),
    Case(
        "work_finished_after_order",
        "finished_on",
        lambda: finished_order(finished_on=DAY - dt.timedelta(days=1)),
    ),
    Case("work_cancelled_has_reason", "cancelled_why", lambda: cancelled_order(cancelled_why="")),
    Case(
        "work_item_once_a_flag",
        NON_FIELD_ERRORS,
        second_of(WorkItem, "flag", rows_desk.flag),
    ),
    Case("plain_page_says_all", "found", change(PlainPage, found="")),
    Case("plain_page_units_known", "units", change(PlainPage, units="?")),
    Case("plain_page_language_known", "language", change(PlainPage, language="?")),
    Case("work_item_once_an_element", NON_FIELD_ERRORS, second_element_of_an_order),
]


def second_role(*, in_a_district: bool) -> Broken:
    """Return a role that is to be made one that its user holds there already."""
    first = valid_row(HeldRole)
    first.district = first.district if in_a_district else None
    first.save()
    other = HeldRole.objects.create(user=first.user, role="manager", district=first.district)
    return other, {"role": first.role}


def second_seal_of_a_row() -> Broken:
    """Return a seal that is to be made one of a row that has one."""
    first, second = valid_row(Seal), valid_row(Seal)
    return second, {"row_id": first.row_id}


DESK_DERIVED = [
    Case("seal_counts_from_one", "number", change(Seal, number=0)),
    Case("seal_kind_known", "kind", change(Seal, kind="?")),
    Case("seal_once_a_row", NON_FIELD_ERRORS, second_seal_of_a_row),
    Case("held_role_known", "role", change(HeldRole, role="?")),
    Case("held_role_once_a_district", NON_FIELD_ERRORS, lambda: second_role(in_a_district=True)),
    Case("held_role_once_for_all", NON_FIELD_ERRORS, lambda: second_role(in_a_district=False)),
    Case("api_key_scopes", "scopes", change(ApiKey, scopes="all")),
    Case("api_key_expires_after_made", NON_FIELD_ERRORS, change(ApiKey, expires_at=rows_desk.AT)),
    Case(
        "idempotent_answer_once_a_key",
        NON_FIELD_ERRORS,
        second_of(IdempotentAnswer, "key", "another-key"),
    ),
    Case("job_kind_known", "kind", change(Job, kind="?")),
    Case("job_state_known", "state", change(Job, state="?")),
    Case("job_ended_has_its_time", NON_FIELD_ERRORS, change(Job, state="done")),
    # rows that follow from readings and decisions, which no form offers
    Case("sighting_once_a_visit", NON_FIELD_ERRORS, second_sighting),
    Case("sighting_cause_known", "cause", change(Sighting, cause="?")),
    Case("flag_once_a_cause", NON_FIELD_ERRORS, second_of(Flag, "cause", "response")),
    Case("flag_cause_known", "cause", change(Flag, cause="?")),
    Case("flag_state_known", "state", change(Flag, state="?")),
]
