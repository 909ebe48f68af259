"""The people of the crowd, each with a session of their own, and what they find at the site."""

from __future__ import annotations

import datetime as dt
import random
import threading
import time
from collections import defaultdict
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from tests.served.rows import PASSWORD
from tests.soak.tablet import Tablet
from tests.soak.wire import Answer, Cut, Wire

PAUSE_S = (2.0, 8.0)
FORM = "application/x-www-form-urlencoded"
DAY = dt.timedelta(days=1)


class Person(threading.Thread):
    """Does one thing after the other until told to stop; keeps the time of each and what failed."""

    def __init__(self, port: int, user: str, seed: int) -> None:
        super().__init__()
        self.user, self.dice = user, random.Random(f"{user} {seed}")
        self.wire = Wire(port, faults=0, seed=seed)
        self.stopped = threading.Event()
        self.times_s: dict[str, list[float]] = defaultdict(list)
        self.wrong: list[str] = []

    def run(self) -> None:
        """Sign in, then work."""
        try:
            self.stopped.wait(self.dice.uniform(0, PAUSE_S[1]))
            self.timed("sign in", lambda: self.wire.sign_in(self.user, PASSWORD))
            while not self.stopped.wait(self.dice.uniform(*PAUSE_S)):
                self.act()
        except (Cut, AssertionError) as error:
            self.wrong.append(f"{self.user}: {type(error).__name__} {error}")

    def act(self) -> None:
        """Do one thing."""
        raise NotImplementedError

    def timed(self, name: str, do: Callable[[], Any]) -> Any:
        """Do it and keep how long it took."""
        began_s = time.perf_counter()
        answer = do()
        self.times_s[name].append(time.perf_counter() - began_s)
        return answer

    def ask(self, name: str, method: str, path: str, form: dict[str, str] | None = None) -> Answer:
        """Ask for a page, or send a form."""
        body = urlencode(form).encode() if form else b""
        kind = FORM if form else ""
        answer = self.timed(name, lambda: self.wire.ask(method, path, body, kind))
        if answer.status not in (200, 302):
            self.wrong.append(f"{method} {path}: {answer.status} {answer.content[:200]!r}")
        return answer


class Inspector(Person):
    """Enters a few readings and a photo, and sends them."""

    def __init__(self, port: int, user: str, visit: dict[str, Any], seed: int) -> None:
        super().__init__(port, user, seed)
        self.tablet, self.visit = Tablet(self.wire, seed), visit

    def act(self) -> None:
        """Send what one bearing gave."""
        self.tablet.fill_in(self.visit, readings=4, photos=self.dice.random() < 0.25)
        self.timed("send readings (and a photo)", self.tablet.flush)
        if self.tablet.waiting or self.tablet.refused:
            self.wrong.append(f"{self.user} keeps {len(self.tablet.waiting)}, refused"
                              f" {self.tablet.refused}")  # fmt: skip
            self.tablet.waiting.clear()


class Engineer(Person):
    """Goes from page to page, and decides now and then."""

    def __init__(self, port: int, user: str, pages: dict[str, list[str]], seed: int) -> None:
        super().__init__(port, user, seed)
        self.pages = pages

    def act(self) -> None:
        """Look at a page, or decide on a flag."""
        name = self.dice.choice([*self.pages, "decide"])
        if name != "decide":
            self.ask(name, "GET", self.dice.choice(self.pages[name]))
            return
        until = dt.datetime.now(dt.UTC).date() + self.dice.randint(100, 3000) * DAY
        form = {"kind": "accept", "reason": "Looked at on the site.", "until": f"{until}"}
        flag = self.dice.choice(self.pages["flag"])
        answer = self.ask(name, "POST", flag, form)
        if answer.status == 200:
            self.wrong.append(f"{flag}: the decision was not taken")


class Manager(Person):
    """Prints."""

    def __init__(self, port: int, user: str, papers: list[str], seed: int) -> None:
        super().__init__(port, user, seed)
        self.papers = papers

    def act(self) -> None:
        """Print one paper."""
        answer = self.ask("print a report", "GET", self.dice.choice(self.papers))
        if not answer.content.startswith(b"%PDF"):
            self.wrong.append(f"no paper but {answer.content[:200]!r}")


def make(elements: int, users: int) -> dict[str, Any]:
    """Make the site that they meet and their accounts; called where the database is."""
    from django.urls import reverse
    from django.utils import timezone

    from inspections.models import Flag
    from inventory.models import Bridge, Element
    from tests.benchmarks.desk_stock import make_stock
    from tests.make import make_bridge, make_element, make_inspection, make_unit, make_user
    from tests.soak.world import POINTS

    def accounts(role: str, count: int) -> list[str]:
        return [make_user(role, password=PASSWORD).username for _ in range(count)]

    def visit(number: int) -> dict[str, Any]:
        unit = make_unit(make_bridge(f"C-{number}"))
        joint = make_element(unit, "strip_seal", design={"opening_max_mm": 130.0})
        places = [(make_element(unit, "pot").pk, *POINTS[0]) for _ in range(3)]
        places += [(joint.pk, *point) for point in POINTS[1:]]
        opened = make_inspection(unit.bridge, timezone.now().date())
        return {"id": opened.pk, "places": places}

    make_stock(elements, timezone.now().date())
    inspectors, managers = accounts("inspector", users // 2), accounts("manager", users // 10)
    engineers = accounts("engineer", users - len(inspectors) - len(managers))
    bridges = list(Bridge.objects.filter(code__startswith="S-").values_list("code", flat=True))
    to_decide = Flag.objects.exclude(state="withdrawn").exclude(state="closed")
    return {
        "inspectors": [(user, visit(number)) for number, user in enumerate(inspectors)],
        "engineers": engineers,
        "managers": managers,
        "pages": {
            "queue": [reverse("home"), f"{reverse('home')}?page=2"],
            "flag": [reverse("flag", args=[pk]) for pk in to_decide.values_list("pk", flat=True)],
            "element": [
                reverse("element", args=[pk])
                for pk in Element.objects.filter(bridge__code__in=bridges).values_list(
                    "pk", flat=True
                )
            ],
            "bridge": [reverse("bridge", args=[code]) for code in bridges],
            "elements": [reverse("elements")],
            "bridges": [reverse("bridges")],
            "plan": [reverse("plan")],
        },
        "papers": [reverse("bridge-report", args=[code]) for code in bridges],
    }
