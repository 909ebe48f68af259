"""What the walk across a bridge stops at, and what is read there."""

from __future__ import annotations

from dataclasses import dataclass, field

from inspections import wording
from inspections.form_spec import AS_UNITS_PART, RODS, ReadingField, fields_for, point_words
from inspections.models import Reading, TemperatureReading, Verdict
from inspections.models.choices import ROOM_ON_A_SIDE, ReadingQuantity
from inventory.models import Element, Installation
from inventory.words import in_sentence
from movement.results import Reason


@dataclass(slots=True)
class Measured:
    """One measurement as it now stands, with the earlier values that it replaced, oldest first."""

    reading: Reading
    replaced: list[Reading]


@dataclass(slots=True)
class Taken:
    """One temperature as it now stands, with the earlier values that it replaced."""

    standing: TemperatureReading
    replaced: list[TemperatureReading]


@dataclass(slots=True)
class PointRead:
    """One point at one time: its repeats and the verdict of their mean."""

    measured: list[Measured]
    verdict: Verdict | None

    @property
    def first(self) -> Reading:
        """The first of the repeats, which names the point."""
        return self.measured[0].reading

    @property
    def dimension(self) -> str:
        """What its values measure."""
        return wording.dimension_of(self.first).value

    @property
    def expected(self) -> float | None:
        """Expected value; None where there was nothing to compare with, or it is the baseline."""
        if self.verdict is None or Reason.IS_BASELINE in wording.reasons_of(self.verdict):
            return None
        return self.verdict.expected

    @property
    def band(self) -> tuple[float, float] | None:
        """Lower and upper end of the expected band."""
        return None if self.expected is None else wording.band(self.verdict)


@dataclass(slots=True)
class Stop:
    """One element on the walk across the bridge, with the device that stood there that day."""

    element: Element
    installation: Installation
    reads: list[PointRead] = field(default_factory=list)
    rods_said: int | None = None

    @property
    def fields(self) -> list[ReadingField]:
        """What is read on its device."""
        return fields_for(self.installation.device_type)

    @property
    def has_rods(self) -> bool:
        """True if its device is read rod by rod."""
        return any(RODS[0] in each.points for each in self.fields)

    @property
    def rods_on_record(self) -> int | None:
        """How many rods the register gives; None where it does not say."""
        design = getattr(self.installation, "restraint_design", None)
        return None if design is None else design.rod_count

    @property
    def rods(self) -> int:
        """How many rods are read one by one: one that nobody has counted is asked for once."""
        read = {each.first.point for each in self.reads}
        highest = max((n for n, rod in enumerate(RODS, 1) if rod in read), default=1)
        return min(self.rods_on_record or self.rods_said or highest, len(RODS))

    def offered(self, each: ReadingField) -> list[str]:
        """Return the points that a form offers: every side, and as many rods as there are."""
        if each.quantity == ReadingQuantity.SLACK and self.element.unit_ahead_id is not None:
            return [AS_UNITS_PART]
        return [point for point in each.points if point not in RODS[self.rods :]]

    def wanted(self, each: ReadingField) -> list[str]:
        """Return the points that a visit should read: those that the device has."""
        if not each.wanted:
            return []
        design = getattr(self.installation, "restraint_design", None)
        if each.quantity in ROOM_ON_A_SIDE and design is not None:
            sides = self.offered(each)
            return [s for s in sides if getattr(design, f"gap_{s}_mm") is not None] or sides
        return self.offered(each)

    @property
    def missing(self) -> list[str]:
        """What is still to be read, in words."""
        done = {(read.first.quantity, read.first.point) for read in self.reads}
        words = []
        for each in self.fields:
            open_points = [
                point for point in self.wanted(each) if (each.quantity, point) not in done
            ]
            if open_points:
                points = ", ".join(point_words(point) for point in open_points)
                words.append(f"{in_sentence(each.quantity.label)} {points}".rstrip())
        return words

    @property
    def worst(self) -> Verdict | None:
        """The weightiest verdict of this visit so far."""
        verdicts = [read.verdict for read in self.reads if read.verdict is not None]
        return max(verdicts, key=lambda each: each.verdict, default=None)
