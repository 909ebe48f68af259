"""``manage.py plan``, and the agency's intervals."""

import csv
import io

import pytest
from django.core.management import CommandError, call_command

from inspections.models import Due, Interval
from inspections.services.thresholds import present_version, save_settings
from tests.inspections.plan_rows import DAY, due_bridge, planned, today
from tests.make import make_bridge, make_element, make_unit, make_user

pytestmark = pytest.mark.django_db


def run(*arguments) -> str:
    out = io.StringIO()
    call_command("plan", *arguments, stdout=out)
    return out.getvalue()


@pytest.fixture
def bridges():
    late, soon = due_bridge("LATE", -12), due_bridge("SOON", 20)
    due_bridge("FAR", 200)
    planned(late, 3, lead=make_user("inspector", username="anchor"))
    return late, soon


def test_what_is_due_is_printed_with_days_late_and_who_goes(bridges):
    lines = run().splitlines()
    assert [line.split()[:3] for line in lines[1:3]] == [
        [str(today() - 12 * DAY), "12", "LATE"],
        [str(today() + 20 * DAY), "SOON", "Routine"],
    ]
    assert lines[1].endswith(f"{today() + 3 * DAY}  anchor")
    assert lines[-1] == f"2 due, 1 of them overdue, as of {today()}."


def test_the_table_is_narrowed(bridges):
    def codes(*arguments):
        rows = csv.DictReader(io.StringIO(run("--format", "csv", *arguments)))
        return [row["bridge"] for row in rows]

    assert codes("--overdue") == ["LATE"]
    assert codes("--until", str(today() + 300 * DAY)) == ["LATE", "SOON", "FAR"]
    assert codes("--district", "T") == ["LATE", "SOON"]
    assert codes("--reason", "watch") == []


def test_where_nothing_is_due_it_says_so(db):
    assert run() == "Nothing is due.\n"


def test_it_can_be_written_to_a_file(bridges, tmp_path):
    path = tmp_path / "due.csv"
    run("--format", "csv", "--output", str(path))
    assert path.read_text().startswith("due_on,overdue_days,district,bridge")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("--district", "X"), "no district has the code «X». There are: T"),
        (("--until", "tomorrow"), "«tomorrow» is no day. Write it as 2026-11-30"),
        (("--until", "2026-02-30"), "is no day"),
        (("--until", "2199-01-01", "--overdue"), "Leave one of the two out"),
        (("--reason", "whim"), "invalid choice"),
    ],
)
def test_a_wrong_argument_is_told_with_its_remedy(bridges, arguments, message):
    with pytest.raises(CommandError) as refusal:
        run(*arguments)
    assert message in str(refusal.value)


def test_renewing_takes_in_what_was_changed_past_the_services(bridges):
    Interval.objects.create(bridge=bridges[0], kind="routine", months=120, reason="Closed")
    assert "LATE" in run()
    assert "LATE" not in run("--renew")


def test_a_new_interval_of_the_agency_reaches_bridges_never_visited():
    make_element(make_unit(make_bridge("NEW")))
    due_bridge("SEEN", 20)
    save_settings(
        figures={"routine_interval_months": 12.0},
        reason="Every year",
        user=make_user("engineer"),
        based_on=present_version(),
    )
    months = dict(Due.objects.filter(reason="routine").values_list("bridge__code", "months"))
    assert months == {"NEW": 12, "SEEN": 12}
