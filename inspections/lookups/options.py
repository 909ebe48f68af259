"""Studies of options: the list, one study side by side, and what was decided about it."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop as mark

from inspections.lookups.counts import how_many
from inspections.models import Criterion, Option, OptionJudgement, OptionStudy
from inspections.option_weighing import Shift, Weighed, first_place, shifts, weighed
from inventory.decimal_mark import with_mark

SCORE_WORDS = {
    1: mark("poor"),
    2: mark("rather poor"),
    3: mark("fair"),
    4: mark("rather good"),
    5: mark("good"),
}
MOVED = {
    (True, True): mark("With the weight of %(weights)s doubled, %(options)s would come first."),
    (True, False): mark("With the weight of %(weights)s halved, %(options)s would come first."),
    (False, True): mark("With one weight, %(weights)s, doubled, %(options)s would come first."),
    (False, False): mark("With one weight, %(weights)s, halved, %(options)s would come first."),
}
"""What would come first, by whether one weight moves it and whether it is doubled."""


@dataclass(frozen=True, slots=True)
class Cell:
    """What was judged of an option by a criterion: the last counts, the earlier ones stay."""

    option: Option
    last: OptionJudgement | None
    earlier: Sequence[OptionJudgement] = ()

    @property
    def word(self) -> str:
        """The judgement in a word; empty where there is none."""
        return _(SCORE_WORDS[self.last.score]) if self.last else ""


@dataclass(frozen=True, slots=True)
class Row:
    """One criterion across the options that are still in."""

    criterion: Criterion
    cells: Sequence[Cell]


@dataclass(frozen=True, slots=True)
class Mean:
    """The weighted mean of an option, with the criteria that nobody has judged it by."""

    option: Option
    mean: Fraction | None
    missing: Sequence[Criterion]
    complete: bool
    first: bool

    @property
    def shown(self) -> str:
        """The mean with two decimals; a dash where nothing was judged."""
        return "–" if self.mean is None else with_mark(f"{float(self.mean):.2f}")


@dataclass(frozen=True, slots=True)
class Matrix:
    """A study side by side: criteria as rows, the options still in as columns."""

    options: Sequence[Option]
    dropped: Sequence[Option]
    rows: Sequence[Row]
    means: Sequence[Mean]
    findings: Sequence[str]


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of what happened to a study."""

    at: dt.datetime
    who: object
    what: str
    why: str


def studies() -> QuerySet[OptionStudy]:
    """Return every study with its place, its choice and how many options it has, newest first."""
    return (
        OptionStudy.objects.select_related("bridge", "element", "chosen", "opened_by")
        .annotate(
            option_count=how_many(Option, "study"),
            dropped_count=how_many(Option, "study", dropped_at__isnull=False),
        )
        .order_by("-opened_at", "-pk")
    )


def study_rows() -> QuerySet[OptionStudy]:
    """Return studies with all that one page names."""
    return OptionStudy.objects.select_related(
        "bridge", "element", "flag__element", "chosen", "chosen_by", "opened_by"
    )


def matrix_of(study: OptionStudy) -> Matrix:
    """Return a study side by side."""
    options = list(study.options.select_related("dropped_by"))
    criteria = list(study.criteria.all())
    of_cell: dict[tuple[int, int], list[OptionJudgement]] = defaultdict(list)
    judgements = OptionJudgement.objects.filter(option__study=study).select_related("judged_by")
    for each in judgements.order_by("judged_at", "pk"):
        of_cell[each.option_id, each.criterion_id].append(each)
    still_in = [each for each in options if each.dropped_at is None]
    rows = [
        Row(
            criterion,
            [_cell(option, of_cell.get((option.pk, criterion.pk), [])) for option in still_in],
        )
        for criterion in criteria
    ]
    scores = {
        option.pk: {
            criterion.pk: of_cell[option.pk, criterion.pk][-1].score
            for criterion in criteria
            if (option.pk, criterion.pk) in of_cell
        }
        for option in still_in
    }
    weights = {each.pk: each.weight for each in criteria}
    first = first_place(weights, scores)
    by_pk = {each.pk: each for each in criteria}
    named = {each.pk: each for each in still_in}
    means = [_mean(named[each.option], each, by_pk, first) for each in weighed(weights, scores)]
    return Matrix(
        still_in,
        [each for each in options if each.dropped_at is not None],
        rows,
        means,
        _findings(means, weights, scores, by_pk, named),
    )


def judgements_of(option: Option) -> dict[int, OptionJudgement]:
    """Return the judgement that counts of an option, by criterion."""
    rows = option.judgements.select_related("judged_by").order_by("judged_at", "pk")
    return {each.criterion_id: each for each in rows}


def story_of(study: OptionStudy) -> list[Entry]:
    """Return every choice, drop and taking up of a study, the newest first."""
    found = [
        Entry(
            row.chosen_at,
            row.chosen_by,
            _("Chosen: %(name)s") % {"name": row.chosen.name},
            row.chosen_why,
        )
        for row in study.history.filter(chosen__isnull=False)
        .select_related("chosen", "chosen_by")
        .order_by("chosen_at", "history_id")
    ]
    found = list({(each.at, each.what): each for each in found}.values())
    was_dropped: dict[int, bool] = {}
    rows = Option.history.filter(study_id=study.pk).select_related("dropped_by", "history_user")
    for row in rows.order_by("history_date", "history_id"):
        dropped = row.dropped_at is not None
        if dropped and not was_dropped.get(row.id):
            what = _("Dropped: %(name)s") % {"name": row.name}
            found.append(Entry(row.dropped_at, row.dropped_by, what, row.dropped_why))
        elif not dropped and was_dropped.get(row.id):
            what = _("Taken up again: %(name)s") % {"name": row.name}
            reason = row.history_change_reason or ""
            found.append(Entry(row.history_date, row.history_user, what, reason))
        was_dropped[row.id] = dropped
    return sorted(found, key=lambda each: each.at, reverse=True)


def _cell(option: Option, judgements: Sequence[OptionJudgement]) -> Cell:
    if not judgements:
        return Cell(option, None)
    return Cell(option, judgements[-1], list(reversed(judgements[:-1])))


def _mean(
    option: Option, found: Weighed, criteria: dict[int, Criterion], first: frozenset[int]
) -> Mean:
    return Mean(
        option,
        found.mean,
        [criteria[key] for key in found.missing],
        found.complete,
        option.pk in first,
    )


def _findings(
    means: Sequence[Mean],
    weights: dict[int, float],
    scores: dict[int, dict[int, int]],
    criteria: dict[int, Criterion],
    options: dict[int, Option],
) -> list[str]:
    """Return what the weighted means say, and whether one weight would change it."""
    told = [
        _(
            "«%(option)s» is not judged by %(criteria)s yet, so its mean stands on the rest and"
            " takes no place."
        )
        % {"option": each.option, "criteria": _listed(each.missing)}
        for each in means
        if each.missing
    ]
    first = first_place(weights, scores)
    if not first:
        return [*told, _("No option has been judged by every criterion, so none comes first.")]
    leading = _listed([options[key] for key in sorted(first)])
    complete = sum(1 for each in means if each.complete)
    if complete == 1:
        return [
            *told,
            _("Only %(leading)s is judged by every criterion: nothing to compare it with.")
            % {"leading": leading},
        ]
    told.append(
        (
            _("%(leading)s has the greatest weighted mean.")
            if len(first) == 1
            else _("%(leading)s share the greatest weighted mean.")
        )
        % {"leading": leading}
    )
    moved = shifts(weights, scores)
    if not moved:
        told.append(_("The first place stays the same when any one weight is doubled or halved."))
    return told + _moved(moved, criteria, options)


def _moved(
    moved: Sequence[Shift], criteria: dict[int, Criterion], options: dict[int, Option]
) -> list[str]:
    """Return one sentence for all weights that put the same options first."""
    together: dict[tuple[frozenset[int], bool], list[Criterion]] = defaultdict(list)
    for each in moved:
        together[each.first, each.factor > 1].append(criteria[each.criterion])
    told = []
    for (first, doubled), its in together.items():
        names = _listed([options[key] for key in sorted(first)])
        told.append(
            _(MOVED[len(its) == 1, doubled])
            % {"weights": _listed(its, _("or")), "options": names or _("no option")}
        )
    return told


def _listed(rows: Sequence[object], last: str = "") -> str:
    names = [f"«{each}»" for each in rows]
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last or _('and')} {names[-1]}"
