"""What is on record of one element beside its readings."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.models import (
    Condition,
    CriticalFinding,
    Decision,
    Due,
    FieldNote,
    Flag,
    Inspection,
    OptionStudy,
    Photo,
    WorkItem,
    WorkOrder,
)
from inspections.selectors.drawings import drawings
from inspections.selectors.flags import last_decisions
from inventory.models import Drawing, Element

MOST_PHOTOS = 60


@dataclass(frozen=True, slots=True)
class Proof:
    """What measured the place after an order (None: nothing yet), and the flags it is of."""

    visit: Inspection | None
    flags: list[Flag]


@dataclass(frozen=True, slots=True)
class WorkHere:
    """An order that works on the element, with the proofs of all the flags that it mends here."""

    order: WorkOrder
    proofs: list[Proof]


@dataclass(frozen=True, slots=True)
class ElementRecord:
    """Flags with their last decision, and what crews and the desk have added, oldest first."""

    flags: list[tuple[Flag, Decision | None]]
    photos: list[Photo]
    photos_in_all: int
    conditions: list[Condition]
    notes: list[FieldNote]
    critical: list[CriticalFinding]
    studies: list[OptionStudy]
    work: list[WorkHere]
    due: list[Due]
    drawings: list[Drawing]


def element_record(element: Element) -> ElementRecord:
    """Return the record of an element; of photos the last ones, of conditions the last of
    each visit and defect."""
    flags = list(Flag.objects.filter(element=element).order_by("state", "cause"))
    decided = last_decisions(flags)
    conditions = {
        (row.inspection_id, row.defect): row
        for row in Condition.objects.filter(element=element)
        .select_related("inspection")
        .order_by("inspection__date", "pk")
    }
    photos = Photo.objects.filter(element=element)
    last = list(photos.select_related("inspection").order_by("-taken_at", "-uid")[:MOST_PHOTOS])
    return ElementRecord(
        [(flag, decided.get(flag.pk)) for flag in flags],
        list(reversed(last)),
        len(last) if len(last) < MOST_PHOTOS else photos.count(),
        list(conditions.values()),
        list(
            FieldNote.objects.filter(element=element)
            .select_related("inspection")
            .order_by("inspection__date", "pk")
        ),
        list(
            CriticalFinding.objects.filter(element=element)
            .select_related("inspection", "seen_by")
            .order_by("found_at")
        ),
        list(OptionStudy.objects.filter(element=element).select_related("chosen")),
        _work_at(element),
        list(Due.objects.filter(element=element).order_by("due_on")),
        list(drawings().filter(element=element)),
    )


def _work_at(element: Element) -> list[WorkHere]:
    """Return the work at an element, each order once: one that mends two flags has two items."""
    items = WorkItem.objects.filter(element=element).select_related("order", "proved_by", "flag")
    found: dict[int, WorkHere] = {}
    for item in items.order_by("order_id", "pk"):
        here = found.setdefault(item.order_id, WorkHere(item.order, []))
        proof = next((each for each in here.proofs if each.visit == item.proved_by), None)
        if proof is None:
            proof = Proof(item.proved_by, [])
            here.proofs.append(proof)
        if item.flag is not None:
            proof.flags.append(item.flag)
    return list(found.values())
