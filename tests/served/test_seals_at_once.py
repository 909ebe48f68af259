"""Several engineers sign at once, and the chain of seals neither forks nor loses a link."""

from concurrent.futures import ThreadPoolExecutor

from tests.served.ledger import Ledger
from tests.served.running import running

SIGNERS, DECISIONS = 3, 12


def test_who_signs_at_once_takes_turns(tmp_path):
    with running(tmp_path) as site, ThreadPoolExecutor(SIGNERS) as pool:
        url = site.server.environment["DATABASE_URL"]
        signers = [Ledger(tmp_path, url) for _ in range(SIGNERS)]
        try:
            waiting = [
                pool.submit(each.call, "tests.served.rows:decide_on_joints", f"D-{n}", DECISIONS)
                for n, each in enumerate(signers)
            ]
            assert [each.result() for each in waiting] == [DECISIONS] * SIGNERS
        finally:
            for each in signers:
                each.close()
        assert site.ledger.call("tests.served.rows:history") == (SIGNERS * DECISIONS, [])
