"""Who writes to one SQLite file takes turns, whatever became of the one before."""

import os
import signal
import subprocess
import sys
import threading
import time

import pytest
from django.db import ConnectionHandler, OperationalError

ENGINE = "inspections.project.sqlite_in_turn"
HOLDS = """
import sys, time
from django.conf import settings
settings.configure()
from django.db import ConnectionHandler
connection = ConnectionHandler({"default": {"ENGINE": sys.argv[1], "NAME": sys.argv[2]}})["default"]
connection.ensure_connection()
connection.set_autocommit(False, force_begin_transaction_with_broken_autocommit=True)
print("held", flush=True)
time.sleep(60)
"""


@pytest.fixture
def connect(tmp_path, django_db_blocker):
    """Return a function that opens one more connection to one file."""
    opened = []

    def open_one(timeout_s=10.0):
        options = {"transaction_mode": "IMMEDIATE", "timeout": timeout_s}
        its = {"ENGINE": ENGINE, "NAME": f"{tmp_path / 'rows.sqlite3'}", "OPTIONS": options}
        opened.append(ConnectionHandler({"default": its})["default"])
        opened[-1].inc_thread_sharing()
        return opened[-1]

    # The file is the test's own, not the database of the tests.
    with django_db_blocker.unblock():
        yield open_one
        for each in opened:
            each.close()


def begin(connection):
    connection.ensure_connection()
    connection.set_autocommit(False, force_begin_transaction_with_broken_autocommit=True)


@pytest.mark.parametrize("end", ["commit", "rollback", "close"])
def test_the_next_one_begins_when_the_one_before_has_ended(connect, end):
    first, second = connect(), connect(timeout_s=0.05)
    begin(first)
    with pytest.raises(OperationalError, match="database is locked"):
        begin(second)
    getattr(first, end)()
    begin(second)
    second.rollback()


def test_a_turn_that_could_not_begin_is_passed_on(connect):
    first, second = connect(timeout_s=0.05), connect()
    second.ensure_connection()
    # A shell holds the file and asks nobody for a turn.
    second.connection.execute("BEGIN IMMEDIATE")
    first.ensure_connection()
    with pytest.raises(OperationalError, match="database is locked"):
        begin(first)
    second.connection.execute("ROLLBACK")
    begin(second)
    second.rollback()


def test_the_turn_of_a_killed_process_is_free_at_once(connect, tmp_path):
    held = subprocess.Popen(
        [sys.executable, "-c", HOLDS, ENGINE, f"{tmp_path / 'rows.sqlite3'}"],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert held.stdout.readline() == "held\n"
    waiting = connect(timeout_s=0.05)
    with pytest.raises(OperationalError):
        begin(waiting)
    os.kill(held.pid, signal.SIGKILL)
    held.wait()
    held.stdout.close()
    begin(waiting)
    waiting.rollback()


def test_eight_that_add_to_one_figure_lose_nothing_and_none_is_turned_away(connect):
    connection = connect()
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE counted (n INTEGER)")
        cursor.execute("INSERT INTO counted VALUES (0)")
    failures = []

    def add(its):
        try:
            for _ in range(25):
                begin(its)
                with its.cursor() as cursor:
                    cursor.execute("SELECT n FROM counted")
                    (before,) = cursor.fetchone()
                    time.sleep(0.001)
                    cursor.execute("UPDATE counted SET n = %s", [before + 1])
                its.commit()
                its.set_autocommit(True)
        except OperationalError as error:
            failures.append(error)

    threads = [threading.Thread(target=add, args=(connect(),)) for _ in range(8)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    with connection.cursor() as cursor:
        cursor.execute("SELECT n FROM counted")
        assert (failures, cursor.fetchone()) == ([], (200,))
