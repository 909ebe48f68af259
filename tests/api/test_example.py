"""The program in the contributor guide does what the guide says, against a real server."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from inspections.models import Inspection, Reading
from tests.api.calls import Caller
from tests.make import make_bridge, make_element, make_unit, make_user

GUIDE = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"


def program() -> str:
    section = GUIDE.read_text(encoding="utf-8").split("\n## The API\n")[1].split("\n## ")[0]
    return section.split("```python\n")[1].split("```")[0]


@pytest.mark.django_db(transaction=True)
def test_the_program_of_the_guide_hands_in_a_visit_and_reads_its_verdict(live_server):

    joint = make_element(make_unit(make_bridge()), "strip_seal", design={"opening_max_mm": 40.0})
    caller = Caller(make_user("inspector"))
    done = subprocess.run(
        [sys.executable, "-c", program()],
        env=os.environ | {"LEDGER_URL": live_server.url, "LEDGER_KEY": caller.secret},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert Inspection.objects.get().state == "submitted"
    assert Reading.objects.get().value == pytest.approx(55.5625)
    # 2 3/16 in is beyond the 40 mm that the seal can take.
    assert done.stdout.startswith(f"{joint.code} 2.1875 out_of_range")
    assert "past_limit_now" in done.stdout
