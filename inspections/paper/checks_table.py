"""Checks of an element's capacity on paper: a table where something is near or exceeded.

A rule that is checked at three positions takes one row with three uses; demand and
capacity are those of the position that uses most.
"""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from reportlab.platypus import Flowable

from inspections.models.choices import CheckMoment
from inspections.paper.text import NOTE, SMALL, SMALL_RIGHT, mark, para, table
from inspections.paper.words import heads, pgettext_noop, word
from inspections.wording_capacity import (
    MARK_OF_STATE,
    CheckTold,
    State,
    checks_in_words,
    made_and_lacking,
    worst_of,
)

HEAD = (
    "", gettext_noop("Found"), gettext_noop("What is limited, by which rule"),
    pgettext_noop("narrow column", "Demand"), pgettext_noop("narrow column", "Capacity"),
    gettext_noop("Position"),
    gettext_noop("Use\nnow"), gettext_noop("Use\ncoldest"), gettext_noop("Use\nhottest"),
)  # fmt: skip
FIXED = (14.0, 58.0, 52.0, 52.0, 40.0, 36.0, 36.0, 36.0)
POSITION = {
    CheckMoment.NOW: pgettext_noop("narrow column", "as found"),
    CheckMoment.AT_MIN: pgettext_noop("narrow column", "coldest"),
    CheckMoment.AT_MAX: pgettext_noop("narrow column", "hottest"),
}

LACKING = gettext_noop("Not made for want of figures: %(checks)s.")


def checks_block(told: Sequence[CheckTold], room: float) -> list[Flowable]:
    """Return one line that sums the checks up, and the table where any is near or exceeded."""
    if not told:
        return []
    lines: list[Flowable] = [para(checks_in_words(told), SMALL)]
    if not any(each.state in (State.NEAR, State.EXCEEDED) for each in told):
        return lines
    made, lacking = made_and_lacking(told)
    rows: list[list[object]] = [heads(HEAD), *(_row(group) for group in _by_rule(made))]
    widths = [*FIXED[:2], room - sum(FIXED), *FIXED[2:]]
    right = [("ALIGN", (3, 0), (4, -1), "RIGHT"), ("ALIGN", (6, 0), (8, -1), "RIGHT")]
    lines.append(table(rows, widths, right))
    if lacking:
        names = list(dict.fromkeys(each.name for each in lacking))
        lines.append(para(_(LACKING) % {"checks": ", ".join(names)}, NOTE))
    return lines


def _by_rule(made: Sequence[CheckTold]) -> list[list[CheckTold]]:
    groups: dict[tuple[str, str], list[CheckTold]] = {}
    for each in made:
        groups.setdefault((each.check.name, each.rule), []).append(each)
    return list(groups.values())


def _row(group: Sequence[CheckTold]) -> list[object]:
    worst = worst_of(group) or group[0]
    uses = {each.check.when: each.use for each in group}
    return [
        mark(MARK_OF_STATE[worst.state], 8.5),
        para(worst.word, SMALL),
        para(f"{worst.name}: {worst.rule}", SMALL),
        worst.demand,
        worst.capacity,
        para(word(POSITION[CheckMoment(worst.check.when)]), SMALL),
        *(para(uses.get(moment, "–"), SMALL_RIGHT) for moment in CheckMoment),
    ]
