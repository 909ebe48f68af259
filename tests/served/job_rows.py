"""Rows of long jobs, made and read where a server's database is: called through a ``Ledger``."""

from __future__ import annotations

import datetime as dt
from typing import Any


def _with_workers() -> None:
    """Let this process hand jobs to workers, as its server does."""
    from django.conf import settings
    from django.core.signals import setting_changed

    settings.WORKERS = True
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    setting_changed.send(sender=None, setting="TASKS", value=settings.TASKS, enter=True)


def changed_settings(bridges: int) -> int:
    """Make bridges with a reading each, change a threshold, and return the job."""
    from inspections.models import Job
    from inspections.services import thresholds
    from inspections.services.visits import submit
    from tests.make import (
        judged_once,
        make_bridge,
        make_element,
        make_inspection,
        make_unit,
        make_user,
        read,
    )

    _with_workers()
    with judged_once():
        for number in range(bridges):
            bearing = make_element(make_unit(make_bridge(f"J-{number:02}")))
            visit = make_inspection(bearing.bridge)
            for hour in range(1, 24):
                read(visit, bearing, "offset_along", float(hour), 10.0 + hour, hour=hour)
            submit(inspection=visit)
    thresholds.save_settings(
        figures={"watch_k": 2.5},
        reason="Agreed in the spring review",
        user=make_user("engineer"),
        based_on=thresholds.present_version(),
    )
    return Job.objects.first().pk


def report(elements: int) -> int:
    """Make a bridge of some elements, ask for its report, and return the job."""
    from inspections.jobs.reports import ask_for_report
    from inspections.models.jobs import JobKind
    from inventory.units import System
    from tests.inspections.test_condition_report import a_bridge
    from tests.make import judged_once, make_user

    _with_workers()
    with judged_once():
        bridge = a_bridge(healthy=elements - 2, code="J-REPORT")
    user = make_user("manager")
    return ask_for_report(JobKind.CONDITION_REPORT, bridge.pk, bridge, user, System.SI).pk


def large_import(rows: int) -> int:
    """Have a file of readings of one bridge taken in, and return the job."""
    from inspections.exchange.kinds import KINDS
    from inspections.jobs.imports import ask_for_import
    from tests.make import make_bridge, make_element, make_unit, make_user

    _with_workers()
    make_element(make_unit(make_bridge("J-IMPORT")), "pot", code="P")
    lines = ["bridge_code,inspection_date,team,taken_at,element_code,offset_along_mm"]
    for number in range(rows):
        day = dt.date(2022, 1, 1) + dt.timedelta(days=number)
        lines.append(f"J-IMPORT,{day},two,{day} 08:30,P,{number % 30}.5")
    return ask_for_import(
        kind=KINDS["readings"],
        file_name="visits.csv",
        content="\n".join(lines).encode(),
        options={"state": "open"},
        dry_run=False,
        user=make_user("engineer"),
    ).pk


def silent_and_again(job_id: int) -> None:
    """Let a job have been silent for a day, and start it again."""
    from inspections.models import Job
    from inspections.services import job_files, jobs

    _with_workers()
    job = Job.objects.get(pk=job_id)
    for path in job_files.folder().glob(f"{job_id}-*.progress"):
        path.unlink()
    day = dt.timedelta(days=1)
    job.started_at -= day
    job.queued_at -= day
    job.save()
    jobs.start_again(job=job)


def standing(job_id: int) -> dict[str, Any]:
    """Return where a job stands."""
    from inspections.models import Job, Reading
    from inspections.selectors.jobs import standing_of

    job = Job.objects.get(pk=job_id)
    found = standing_of(job)
    return {
        "state": job.state,
        "attempt": job.attempt,
        "done": found.told.done,
        "words": found.words,
        "left": job.to_judge.count(),
        "readings": Reading.objects.filter(element__bridge__code="J-IMPORT").count(),
    }


def judged_at() -> dict[str, str]:
    """Return when each bridge was judged last."""
    from django.db.models import Max

    from inspections.models import UnitDiagnosis

    # A verdict that says the same as before stays as it is; a diagnosis is always written anew.
    found = UnitDiagnosis.objects.values_list("unit__bridge__code").annotate(at=Max("judged_at"))
    return {code: at.isoformat() for code, at in found}


def result_begins_with(job_id: int) -> str:
    """Return the first four characters of the result of a job."""
    from inspections.services.job_files import result_path

    return result_path(job_id).read_bytes()[:4].decode()
