"""The tables of an element's history card: its devices, its flags, the work on it."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether

from inspections.models import Decision, Flag
from inspections.paper.cover import Printing
from inspections.paper.text import SMALL, Caption, Heading, mark, para, table
from inspections.paper.words import heads, pgettext_noop
from inspections.selectors.desk import earlier_installations
from inspections.selectors.element_record import WorkHere
from inspections.wording_costs import cost_words
from inventory.decimal_mark import with_mark
from inventory.models import Element

DEVICES = (
    pgettext_noop("in a bridge", "Device"), gettext_noop("Maker, lot"), gettext_noop("Installed"),
    gettext_noop("Ended"), pgettext_noop("how it ended", "By"),
)  # fmt: skip
FLAGS = (
    "", gettext_noop("Flag"), gettext_noop("State"), gettext_noop("First seen"),
    gettext_noop("Last seen"), gettext_noop("Last decision, with its reason"),
)  # fmt: skip
ORDERS = (
    gettext_noop("Order"), gettext_noop("Kind"), gettext_noop("State"), gettext_noop("Ordered"),
    pgettext_noop("narrow column", "Finished"), gettext_noop("Cost"), gettext_noop("Proved"),
)  # fmt: skip
SIGNED = gettext_noop("%(day)s %(decision)s, signed %(who)s: %(reason)s")
SIGNED_UNTIL = gettext_noop("%(day)s %(decision)s, until %(until)s, signed %(who)s: %(reason)s")


def devices_table(element: Element, room: float) -> list[Flowable]:
    """Return the devices that stood at a place, the present one first."""
    rows: list[list[object]] = [heads(DEVICES)]
    for device in (element.current_installation, *earlier_installations(element)):
        made = ", ".join(part for part in (device.maker, device.lot) if part)
        rows.append(
            [
                para(device.get_device_type_display(), SMALL),
                para(made or "–", SMALL),
                f"{device.installed_on:%Y-%m-%d}",
                f"{device.removed_on:%Y-%m-%d}" if device.removed_on else _("stands"),
                para(device.get_end_reason_display() if device.removed_on else "", SMALL),
            ]
        )
    return [
        CondPageBreak(80),
        Heading(_("Devices at this place"), key="devices"),
        Caption("Table", _("Devices at this place, the present one first.")),
        table(rows, [0.34 * room, 0.66 * room - 250.0, 66.0, 66.0, 118.0]),
    ]


def flags_table(
    found: list[tuple[Flag, Decision | None]], room: float, printing: Printing
) -> list[Flowable]:
    """Return the flags that were raised, each with its last decision."""
    heading = Heading(_("Flags and decisions"), key="flags")
    if not found:
        return [KeepTogether([heading, para(_("No flag was ever raised here."), SMALL)])]
    rows: list[list[object]] = [heads(FLAGS)]
    for flag, decision in found:
        told = _("None yet") if decision is None else _decided(decision, printing)
        rows.append(
            [
                mark(flag.severity, 9),
                para(flag.get_cause_display(), SMALL),
                para(flag.get_state_display(), SMALL),
                *(
                    f"{at.astimezone(printing.zone):%Y-%m-%d}" if at else "–"
                    for at in (flag.first_seen_at, flag.last_seen_at)
                ),
                para(told, SMALL),
            ]
        )
    return [
        CondPageBreak(90),
        heading,
        Caption("Table", _("Flags raised here, each with the decision signed last.")),
        table(rows, [16.0, 96.0, 84.0, 54.0, 54.0, room - 304.0]),
    ]


def _decided(decision: Decision, printing: Printing) -> str:
    until = f"{decision.until:%Y-%m-%d}" if decision.until else ""
    told = _(SIGNED_UNTIL if until else SIGNED)
    return told % {
        "day": f"{decision.decided_at.astimezone(printing.zone):%Y-%m-%d}",
        "decision": decision.get_kind_display(),
        "until": until,
        "who": decision.signed_as,
        "reason": decision.reason,
    }


def work_table(work: list[WorkHere], room: float, currency: str) -> list[Flowable]:
    """Return the work that was ordered on an element."""
    heading = Heading(_("Work"), key="work")
    if not work:
        return [KeepTogether([heading, para(_("No work was ordered here."), SMALL)])]
    rows: list[list[object]] = [heads(ORDERS)]
    for each in work:
        order = each.order
        cost = order.cost if order.cost is not None else order.cost_estimate
        told = with_mark(cost_words(cost, currency))
        if order.cost is None and cost is not None:
            told = _("%(cost)s (estimate)") % {"cost": told}
        rows.append(
            [
                para(f"{order.code} {order.title}", SMALL),
                para(order.get_kind_display(), SMALL),
                order.get_state_display(),
                f"{order.ordered_on:%Y-%m-%d}",
                f"{order.finished_on:%Y-%m-%d}" if order.finished_on else "–",
                para(told, SMALL),
                "\n".join(
                    f"{proof.visit.date:%Y-%m-%d}" if proof.visit else _("not yet")
                    for proof in each.proofs
                ),
            ]
        )
    return [
        CondPageBreak(80),
        heading,
        Caption("Table", _("Work ordered on this element.")),
        table(rows, [room - 374.0, 78.0, 54.0, 54.0, 54.0, 82.0, 52.0]),
    ]
