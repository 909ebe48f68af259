"""Two writers who order work at the same time, each in a process of its own."""

from contextlib import closing

from tests.served.database import url_with_tables
from tests.served.ledger import Ledger
from tests.served.sending import at_once

EACH = 12
ROWS = "tests.inspections.work_at_once"


def test_no_number_is_given_twice_and_none_is_missing(tmp_path):
    url = url_with_tables(tmp_path)
    with closing(Ledger(tmp_path, url)) as one, closing(Ledger(tmp_path, url)) as other:
        places = one.call(f"{ROWS}:elements", 2)
        user = one.call(f"{ROWS}:engineer")
        other.call(f"{ROWS}:engineer")
        given = at_once(
            lambda: one.call(f"{ROWS}:order_many", places[0], user, 2 * EACH),
            lambda: other.call(f"{ROWS}:order_many", places[1], user, 2 * EACH),
        )
    assert sorted(given[0] + given[1]) == [f"W-2024-{n:04d}" for n in range(1, 2 * EACH + 1)]
