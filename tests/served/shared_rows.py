"""What workers that share a job have written, kept by triggers: called through a ``Ledger``.

A row of the log comes with the transaction of what it tells, and goes where that is undone.
"""

from __future__ import annotations

from typing import Any

LOG = {
    "sqlite": """
        CREATE TABLE told (what text, number integer, by_whom text);
        CREATE TRIGGER judged AFTER INSERT ON inspections_unitdiagnosis BEGIN
            INSERT INTO told VALUES ('judged', NEW.unit_id, '');
        END;
        CREATE TRIGGER done AFTER UPDATE OF state ON inspections_job WHEN NEW.state = 'done' BEGIN
            INSERT INTO told VALUES ('done', NEW.id, '');
        END;
    """,
    "postgresql": """
        CREATE TABLE told (what text, number bigint, by_whom text);
        CREATE FUNCTION tell_judged() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
            INSERT INTO told VALUES ('judged', NEW.unit_id, current_setting('application_name'));
            RETURN NULL;
        END $$;
        CREATE FUNCTION tell_done() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
            INSERT INTO told VALUES ('done', NEW.id, current_setting('application_name'));
            RETURN NULL;
        END $$;
        CREATE TRIGGER judged AFTER INSERT ON inspections_unitdiagnosis
            FOR EACH ROW EXECUTE FUNCTION tell_judged();
        CREATE TRIGGER done AFTER UPDATE OF state ON inspections_job
            FOR EACH ROW WHEN (NEW.state = 'done') EXECUTE FUNCTION tell_done();
    """,
}


def keep_log() -> None:
    """Have each judging of a unit, and each end of a job, written down."""
    from django.db import connection

    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.executescript(LOG["sqlite"])
        else:
            cursor.execute(LOG["postgresql"])


def told() -> list[tuple[str, int, str]]:
    """Return what was written down: what, of which unit or job, by which worker."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT what, number, by_whom FROM told")
        return cursor.fetchall()


def units() -> list[int]:
    """Return every unit."""
    from inventory.models import Unit

    return sorted(Unit.objects.values_list("pk", flat=True))


def has_in_hand(name: str) -> bool:
    """Tell whether the worker of this name holds bridges in a transaction, and waits for itself."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity JOIN pg_locks USING (pid)"
            " WHERE application_name = %s AND state = 'idle in transaction'"
            " AND relation = 'inspections_tojudge'::regclass AND mode = 'RowShareLock'",
            [name],
        )
        return cursor.fetchone()[0] > 0


def free(job_id: int) -> int:
    """Return how many bridges a job has before it that no worker has in hand."""
    from django.db import transaction

    from inspections.models import ToJudge

    with transaction.atomic():
        rows = ToJudge.objects.filter(job_id=job_id)
        return len(rows.select_for_update(skip_locked=True))


def two_reports(elements: int) -> list[int]:
    """Ask for reports on two bridges of some elements, and return the jobs."""
    from inspections.jobs.reports import ask_for_report
    from inspections.models.jobs import JobKind
    from inventory.units import System
    from tests.inspections.test_condition_report import a_bridge
    from tests.make import judged_once, make_user
    from tests.served.job_rows import _with_workers

    _with_workers()
    with judged_once():
        bridges = [a_bridge(healthy=elements - 2, code=f"J-REPORT-{n}") for n in range(2)]
    user = make_user("manager")
    return [
        ask_for_report(JobKind.CONDITION_REPORT, each.pk, each, user, System.SI).pk
        for each in bridges
    ]


def times(job_id: int) -> dict[str, Any]:
    """Return when a job was taken up and ended, and its end."""
    from inspections.models import Job

    job = Job.objects.get(pk=job_id)
    return {"state": job.state, "from": job.started_at, "to": job.finished_at}
