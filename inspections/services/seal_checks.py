"""Whether what was signed is still what was signed, link by link."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from inspections.models import Decision, Seal, SealedKind, SignOff
from inspections.services import decisions, seals, sign_off

ROWS_AT_ONCE = 500


class Fault(NamedTuple):
    """What does not hold, at which link; 0 where it has none."""

    number: int
    told: str


@dataclass(frozen=True, slots=True)
class Proof:
    """What a walk along the chain has found."""

    links: int
    head: str
    """Digest of the last link: noted elsewhere, it shows later whether links were cut off."""
    faults: list[Fault]


def verify(head: str = "") -> Proof:
    """Walk along the chain and look at every row that it seals.

    ``head`` is the digest of a link noted before; it must still be in the chain.
    """
    faults: list[Fault] = []
    sealed: dict[str, set[int]] = {kind: set() for kind in SealedKind}
    links, last, noted = 0, seals.FIRST, not head
    for link in Seal.objects.order_by("number").iterator(ROWS_AT_ONCE):
        links += 1
        faults += _link(link, links, last)
        faults += _row(link)
        sealed[link.kind].add(link.row_id)
        links, last = link.number, link.digest
        noted = noted or last == head
    if not noted:
        told = "is not in the chain: links were cut off, or all were made anew."
        faults.append(Fault(0, f"The head that was noted, {head}, {told}"))
    faults += _unsealed(sealed)
    return Proof(links, last if links else "", faults)


def _link(link: Seal, expected: int, last: str) -> Iterator[Fault]:
    if link.number != expected:
        gone = f"{expected} to {link.number - 1}" if link.number > expected + 1 else f"{expected}"
        yield Fault(link.number, f"Missing before it: {gone}.")
    if link.previous != last and link.number == expected:
        yield Fault(link.number, "Does not follow the link before it: one of the two was changed.")
    if link.digest != seals.digest_of(link):
        yield Fault(link.number, "The link itself was changed.")


def _row(link: Seal) -> Iterator[Fault]:
    if link.kind == SealedKind.DECISION:
        decision = Decision.objects.filter(pk=link.row_id).first()
        yield from _content(
            link, f"decision {link.row_id}", decision, decision and decisions.digest_of(decision)
        )
        return
    signed = SignOff.objects.filter(pk=link.row_id).select_related("inspection").first()
    found = signed and sign_off.digest_of(signed.inspection, signed.signed_at)
    name = f"signature {link.row_id}"
    if signed:
        name += f" under the inspection {signed.inspection}"
    yield from _content(link, name, signed, found)


def _content(
    link: Seal, name: str, row: Decision | SignOff | None, found: str | None
) -> Iterator[Fault]:
    if row is None:
        yield Fault(link.number, f"The {name} is gone.")
    elif row.digest != link.content:
        yield Fault(link.number, f"The digest of the {name} was changed.")
    elif found != link.content:
        yield Fault(link.number, f"What the {name} covers was changed after it was signed.")


def _unsealed(sealed: dict[str, set[int]]) -> Iterator[Fault]:
    for kind, model in ((SealedKind.DECISION, Decision), (SealedKind.SIGN_OFF, SignOff)):
        for pk in model.objects.order_by("pk").values_list("pk", flat=True).iterator():
            if pk not in sealed[kind]:
                yield Fault(0, f"{kind.label} {pk} has no link: it was not signed here.")
