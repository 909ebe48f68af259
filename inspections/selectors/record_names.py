"""What tables and fields are called whose names Django derives from the code.

English, as in the code; told in the reader's language (`inventory.words.name_in_readers_words`).
"""

from __future__ import annotations

from django.utils.translation import gettext_noop as mark

KINDS = (
    mark("bridge"), mark("district"), mark("unit"), mark("support"), mark("element"),
    mark("installation"), mark("bearing design"), mark("joint design"), mark("restraint design"),
    mark("drawing"), mark("instrument"), mark("inspection"), mark("interval"), mark("event"),
    mark("event bridge"), mark("planned visit"), mark("held role"), mark("option study"),
    mark("criterion"), mark("option"), mark("work order"), mark("work item"), mark("user"),
    mark("reading"), mark("temperature reading"), mark("air temperature"), mark("air day"),
    mark("verdict"),
)  # fmt: skip
LISTS = (
    mark("bridges"), mark("districts"), mark("units"), mark("supports"), mark("elements"),
    mark("installations"), mark("bearing designs"), mark("joint designs"),
    mark("restraint designs"), mark("instruments"), mark("inspections"), mark("readings"),
    mark("temperature readings"), mark("air temperatures"), mark("air days"), mark("verdicts"),
)  # fmt: skip
LABELS = (
    mark("cancelled by"), mark("chosen"), mark("chosen by"), mark("corrects"), mark("created at"),
    mark("created by"), mark("crew"), mark("current installation"), mark("dropped by"),
    mark("finished by"), mark("flag"), mark("installation after"), mark("opened by"),
    mark("order"), mark("ordered by"), mark("proved by"), mark("record"), mark("reviewed by"),
    mark("study"), mark("unit ahead"),
)  # fmt: skip
OF_VERDICTS = (
    mark("axis"), mark("carried to max"), mark("carried to min"), mark("design max c"),
    mark("design min c"), mark("expected"), mark("judged at"), mark("limit lower"),
    mark("limit upper"), mark("lower at c"), mark("model version"), mark("point"),
    mark("problem"), mark("quantity"), mark("racking mm"), mark("reasons"), mark("repeats"),
    mark("residual"), mark("residual in u"), mark("setting from"), mark("setting temperature c"),
    mark("setting value"), mark("shortening"), mark("shortening notes"), mark("stands"),
    mark("taken at"), mark("temperature c"), mark("temperature way"), mark("u reading"),
    mark("u residual"), mark("u shortening"), mark("u temperature k"), mark("upper at c"),
    mark("use at max"), mark("use at min"), mark("use now"), mark("value"),
)  # fmt: skip
