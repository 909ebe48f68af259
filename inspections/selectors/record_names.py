"""What records and their fields are called where nothing but their changes is shown.

English, as in the code; told in the reader's language by the page of changes.
"""

from __future__ import annotations

from django.utils.translation import gettext_noop as mark

KINDS = (
    mark("bridge"), mark("support"), mark("installation"), mark("bearing design"),
    mark("joint design"), mark("restraint design"), mark("drawing"),
    mark("yearly extremes of a station"), mark("design temperature basis"),
    mark("concrete of a unit"), mark("section of a unit"), mark("agency settings"),
    mark("instrument"), mark("inspection"), mark("interval"), mark("event"),
    mark("event bridge"), mark("planned visit"), mark("held role"), mark("option study"),
    mark("criterion"), mark("option"), mark("work order"), mark("work item"), mark("user"),
    mark("district"), mark("unit"), mark("element"),
)  # fmt: skip
LABELS = (
    mark("Accuracy, plus or minus"), mark("Age at loading"), mark("Age at the end of curing"),
    mark("Calibrated on"), mark("Cast on"), mark("Cement class"),
    mark("Coefficient of thermal expansion"), mark("Deck slab"), mark("Deck type"),
    mark("End station"), mark("Ended on"), mark("Form"), mark("Girder spacing"),
    mark("Handed in at"), mark("Highest shade air of the year"),
    mark("Lowest shade air of the year"),
    mark("Mean axial compression under lasting load, after losses"),
    mark("Mean relative humidity of the place"), mark("Modulus of elasticity"),
    mark("Notional size, 2 A / u"), mark("Plan radius, positive curving left"), mark("Reads"),
    mark("Reviewed at"), mark("Reviewer's note"), mark("Rule"),
    mark("Share of the deck in alpha E A"), mark("Standard uncertainty of that station"),
    mark("Standard uncertainty of the coefficient"), mark("Start station"),
    mark("Steel area of one girder"), mark("Strength at 28 days, f'c or fck, cylinder"),
    mark("Strength when loaded, f'ci"), mark("Structural depth"), mark("Surfacing"),
    mark("Width of a concrete girder's web"), mark("cancelled by"), mark("chosen"),
    mark("chosen by"), mark("created at"), mark("created by"), mark("crew"),
    mark("current installation"), mark("dropped by"), mark("finished by"),
    mark("installation after"), mark("opened by"), mark("order"), mark("ordered by"),
    mark("reviewed by"), mark("study"),
)  # fmt: skip
