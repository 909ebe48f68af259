"""The form of one element: just the points that its device has."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inspections.form_spec import ReadingField, point_words
from inspections.lookups.stops import Stop
from inspections.models import Inspection, Instrument
from inspections.models.choices import ReadingQuantity
from inspections.services.readings import NewReading, RowsRefused
from inspections.typed_fields import (
    EXAMPLES,
    LocalTimeField,
    PlainForm,
    TypedField,
    unit_label,
)
from inventory.decimal_mark import with_mark
from inventory.models.choices import GapAxis
from inventory.units import Dimension, System, shown
from inventory.zones import zone_words

REPEATS = (1, 2)


@dataclass(frozen=True, slots=True)
class Block:
    """One quantity on the form: its words and the inputs of its points."""

    spec: ReadingField
    unit: str
    limits: str
    points: list[tuple[str, list[forms.BoundField]]]


class ReadingForm(PlainForm):
    """Values of an element's points in one visit, read at one time."""

    taken_at = LocalTimeField(ZoneInfo("UTC"), label=gettext_lazy("Read at"))
    remark = forms.CharField(
        label=gettext_lazy("Remark"), max_length=240, required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip

    def __init__(self, *args, inspection: Inspection, stop: Stop, system: System, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.inspection, self.stop, self.system = inspection, stop, system
        zone = inspection.bridge.time_zone
        self.fields["taken_at"] = LocalTimeField(
            ZoneInfo(zone),
            label=_("Read at"),
            help_text=_("By the clock of %(zone)s.") % {"zone": zone_words(zone)},
        )
        self._of_row: list[str] = []
        if any(each.quantity == ReadingQuantity.GAP for each in stop.fields):
            self._add_axis()
        for each in stop.fields:
            self._add_points(each)
        for dimension in self.dimensions:
            if dimension is not Dimension.COUNT:  # counted by eye
                self._add_instrument(dimension)
        self.order_fields([*(name for name in self.fields if name != "remark"), "remark"])

    @property
    def dimensions(self) -> list[Dimension]:
        """What the element's values measure, each once."""
        return list(dict.fromkeys(each.dimension for each in self.stop.fields))

    @property
    def is_skewed(self) -> bool:
        """True where square and along the road are two different gaps."""
        return bool(self.stop.element.skew_deg)

    def blocks(self) -> list[Block]:
        """Return the quantities of the form, each with its inputs, for the template."""
        return [
            Block(
                each,
                unit_label(each.dimension, self.system),
                _("%(low)s to %(high)s")
                % {
                    "low": shown(each.low, each.dimension, self.system),
                    "high": shown(each.high, each.dimension, self.system),
                },
                [
                    (point, [self[_name(each, point, repeat)] for repeat in REPEATS])
                    for point in self.stop.offered(each)
                ],
            )
            for each in self.stop.fields
        ]

    def instruments(self) -> list[forms.BoundField]:
        """Return the inputs for instruments and their accuracies."""
        return [self[name] for name in self.fields if name.startswith(("instrument-", "accuracy-"))]

    def clean(self) -> dict:
        cleaned = super().clean()
        for each, point in self._each_point():
            first, second = (_name(each, point, repeat) for repeat in REPEATS)
            if cleaned.get(second) and not cleaned.get(first) and first not in self.errors:
                self.add_error(
                    first,
                    _("The second measurement stands without the first. Enter this one too."),
                )
        if not self.errors and not any(
            cleaned.get(_name(each, point, 1)) for each, point in self._each_point()
        ):
            raise ValidationError(_("No value has been entered. Fill at least one point."))
        return cleaned

    def rows(self) -> list[NewReading]:
        """Return the filled points, remembering the input that each came from."""
        self._of_row = []
        rows = []
        for each, point in self._each_point():
            key = each.dimension.value
            accuracy = self.cleaned_data.get(f"accuracy-{key}")
            for repeat in REPEATS:
                name = _name(each, point, repeat)
                typed = self.cleaned_data[name]
                if typed is None:
                    continue
                self._of_row.append(name)
                rows.append(
                    NewReading(
                        element=self.stop.element,
                        quantity=each.quantity.value,
                        value=typed.value,
                        typed=typed.typed,
                        taken_at=self.cleaned_data["taken_at"],
                        point=point,
                        axis=self.cleaned_data["axis"]
                        if each.quantity == ReadingQuantity.GAP
                        else "",
                        repeat=repeat,
                        instrument=self.cleaned_data.get(f"instrument-{key}"),
                        accuracy=None if accuracy is None else accuracy.value,
                        remark=self.cleaned_data["remark"],
                    )
                )
        return rows

    def refuse(self, refusal: RowsRefused | ValidationError) -> None:
        """Put what the service refused at the inputs that it came from."""
        if isinstance(refusal, ValidationError):
            self.add_error(None, refusal.messages)
            return
        for problem in refusal.readings:
            name = self._of_row[problem.row]
            dimension = self.fields[name].dimension.value
            at = {
                "value": name,
                "typed": name,
                "point": name,
                "repeat": name,
                "axis": "axis",
                "taken_at": "taken_at",
                "remark": "remark",
                "instrument": f"instrument-{dimension}",
                "accuracy": f"accuracy-{dimension}",
            }.get(problem.field)
            at = at if at in self.fields else None
            message = problem.message
            if at == name:
                message = f"«{self.typed_in(name)}»: {message}"
            told = self.errors.get(at or "__all__", [])
            if message not in told:
                self.add_error(at, message)

    def typed_in(self, name: str) -> str:
        """Return what stands in an input."""
        return str(self.data.get(self.add_prefix(name), "")).strip()

    def _each_point(self) -> Iterator[tuple[ReadingField, str]]:
        for each in self.stop.fields:
            for point in self.stop.offered(each):
                yield each, point

    def _add_axis(self) -> None:
        skew_deg = self.stop.element.skew_deg
        self.fields["axis"] = forms.ChoiceField(
            label=_("How the tape lay"),
            choices=GapAxis.choices,
            widget=forms.RadioSelect,
            initial=self._axis_so_far(),
            help_text=_("The joint is skewed by %(skew)s: the two differ.")
            % {"skew": shown(abs(skew_deg), Dimension.TILT, self.system)}
            if self.is_skewed
            else "",
            error_messages={
                "required": _("Say whether it was taken square to the joint or along the road.")
            },
        )

    def _axis_so_far(self) -> str | None:
        """Return the way of this visit's gaps; none is guessed where it makes a difference."""
        taken = [read.first.axis for read in self.stop.reads if read.first.axis]
        if taken:
            return taken[-1]
        return None if self.is_skewed else GapAxis.SQUARE

    def _add_points(self, each: ReadingField) -> None:
        unit = unit_label(each.dimension, self.system)
        for point in self.stop.offered(each):
            what = ", ".join(part for part in (each.quantity.label, point_words(point)) if part)
            for repeat in REPEATS:
                self.fields[_name(each, point, repeat)] = TypedField(
                    each.dimension,
                    self.system,
                    (each.low, each.high),
                    label=(what if repeat == 1 else _("%(what)s, measured again") % {"what": what})
                    + (f" [{unit}]" if unit else ""),
                    required=False,
                )

    def _add_instrument(self, dimension: Dimension) -> None:
        words = {
            Dimension.LENGTH: _("Instrument for lengths"),
            Dimension.ROTATION: _("Instrument for rotations"),
            Dimension.TILT: _("Instrument for tilts"),
            Dimension.FORCE: _("Instrument for forces"),
        }
        known = Instrument.objects.filter(dimension=dimension.value)
        self.fields[f"instrument-{dimension.value}"] = forms.ModelChoiceField(
            known,
            label=words[dimension],
            required=False,
            empty_label=_("Not said"),
        )
        self.fields[f"accuracy-{dimension.value}"] = TypedField(
            dimension,
            self.system,
            label=_("Or its accuracy, ± [%(unit)s]") % {"unit": unit_label(dimension, self.system)},
            required=False,
        )

    def examples(self) -> str:
        """Return how values may be written, for the help above the inputs."""
        return with_mark(
            "; ".join(EXAMPLES[dimension, self.system] for dimension in self.dimensions)
        )


def _name(each: ReadingField, point: str, repeat: int) -> str:
    return "-".join([each.quantity.value, point.replace(" ", "_") or "only", str(repeat)])
