"""Ways to mend a defect side by side: every write."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal

from django.contrib.auth.models import AbstractBaseUser
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inspections.lookups.options import judgements_of
from inspections.models import Criterion, Flag, Option, OptionJudgement, OptionStudy
from inspections.models.desk_choices import CriterionKind
from inventory.models import Bridge, Element
from inventory.services.authorship import by_user

LONGEST_DAYS = 36_500


@dataclass(frozen=True, slots=True)
class NewCriterion:
    """What options are held against; ``name`` is for the owner's own."""

    kind: CriterionKind | str
    name: str = ""
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class NewJudgement:
    """How an option does by a criterion, from 1 poor to 5 good."""

    criterion: Criterion
    score: int
    words: str = ""


@transaction.atomic
@by_user
def open_study(
    *,
    bridge: Bridge,
    title: str,
    question: str,
    user: AbstractBaseUser,
    element: Element | None = None,
    flag: Flag | None = None,
    criteria: Iterable[NewCriterion] = (),
) -> OptionStudy:
    """Open a study of a bridge, of one of its elements, or of a flag there.

    Raises
    ------
    ValidationError
        By field; of a criterion at its place: ``criteria[1].weight``.
    """
    if flag is not None:
        element = element or flag.element
        if flag.element_id != element.pk:
            raise ValidationError(
                {
                    "flag": _("This flag is not about %(element)s. Choose another.")
                    % {"element": element}
                }
            )
    if element is not None and element.bridge_id != bridge.pk:
        raise ValidationError(
            {"element": _("%(element)s belongs to another bridge.") % {"element": element}}
        )
    study = OptionStudy(
        bridge=bridge,
        element=element,
        flag=flag,
        title=title.strip(),
        question=question.strip(),
        opened_by=user,
    )
    study.full_clean()
    study.save(force_insert=True)
    for number, new in enumerate(criteria):
        with _told_at(f"criteria[{number}]"):
            add_criterion(study=study, kind=new.kind, name=new.name, weight=new.weight)
    return study


@transaction.atomic
def add_criterion(
    *, study: OptionStudy, kind: CriterionKind | str, weight: float, name: str = ""
) -> Criterion:
    """Hold the options of a study against one thing more."""
    _locked(study)
    own = kind == CriterionKind.OWN
    if own and not name.strip():
        raise ValidationError({"name": _("Name the criterion, such as «Noise at night».")})
    row = Criterion(
        study=study,
        kind=kind,
        name=name.strip() if own else "",
        weight=weight,
        order=study.criteria.count(),
    )
    row.full_clean()
    row.save(force_insert=True)
    return row


@transaction.atomic
def weigh(*, study: OptionStudy, weights: Sequence[tuple[Criterion, float]]) -> None:
    """Give criteria of a study other weights; what they were stays in their history.

    Raises
    ------
    ValidationError
        At the place of what is wrong: ``weights[1].criterion``.
    """
    _locked(study)
    for number, (criterion, weight) in enumerate(weights):
        with _told_at(f"weights[{number}]"):
            if criterion.study_id != study.pk:
                raise ValidationError(
                    {
                        "criterion": _("«%(criterion)s» belongs to another study.")
                        % {"criterion": criterion}
                    }
                )
            if criterion.weight == weight:
                continue
            criterion.weight = weight
            criterion.full_clean()
            criterion.save(update_fields=["weight"])


@transaction.atomic
def add_option(
    *,
    study: OptionStudy,
    name: str,
    description: str = "",
    cost: Decimal | None = None,
    duration_days: int | None = None,
) -> Option:
    """Put one way to mend the defect beside the others."""
    _locked(study)
    row = Option(
        study=study,
        name=name.strip(),
        description=description.strip(),
        cost=cost,
        duration_days=duration_days,
    )
    row.full_clean()
    row.save(force_insert=True)
    return row


@transaction.atomic
def change_option(
    *,
    option: Option,
    name: str,
    description: str,
    cost: Decimal | None,
    duration_days: int | None,
) -> Option:
    """Describe an option better; what stood there stays in its history."""
    row = _option(option)
    row.name, row.description = name.strip(), description.strip()
    row.cost, row.duration_days = cost, duration_days
    row.full_clean()
    row.save(update_fields=["name", "description", "cost", "duration_days"])
    return row


@transaction.atomic
def judge_option(
    *, option: Option, judgements: Sequence[NewJudgement], user: AbstractBaseUser
) -> list[OptionJudgement]:
    """Add somebody's judgements of an option; the last one of a criterion counts.

    What stands already, in score and words, is not written again.

    Raises
    ------
    ValidationError
        At the place of what is wrong, such as ``judgements[0].score``; at none where the option
        was dropped, or no judgement differs from what stands.
    """
    row = _option(option)
    if row.dropped_at is not None:
        raise ValidationError(
            _("«%(row)s» was dropped. Take it up again before judging it.") % {"row": row}
        )
    now = judgements_of(row)
    made = []
    for number, new in enumerate(judgements):
        last, words = now.get(new.criterion.pk), new.words.strip()
        if last is not None and (last.score, last.words) == (new.score, words):
            continue
        judgement = OptionJudgement(
            option=row, criterion=new.criterion, score=new.score, words=words, judged_by=user
        )
        with _told_at(f"judgements[{number}]"):
            judgement.full_clean()
        judgement.save(force_insert=True)
        now[new.criterion.pk] = judgement
        made.append(judgement)
    if not made:
        raise ValidationError(_("No judgement was changed. Judge by one criterion at least."))
    return made


@transaction.atomic
@by_user
def drop_option(*, option: Option, why: str, user: AbstractBaseUser) -> Option:
    """Leave an option out, with the reason; it stays on record."""
    row = _option(option)
    if row.dropped_at is not None:
        raise ValidationError(
            _("«%(row)s» was dropped already. Load the page again.") % {"row": row}
        )
    if row.study.chosen_id == row.pk:
        raise ValidationError(
            _("«%(row)s» is the chosen one. Choose another before dropping it.") % {"row": row}
        )
    if not why.strip():
        raise ValidationError({"why": _("Say why it is dropped: the reason stays on record.")})
    row.dropped_at, row.dropped_by, row.dropped_why = timezone.now(), user, why.strip()
    row.full_clean()
    row.save(update_fields=["dropped_at", "dropped_by", "dropped_why"])
    return row


@transaction.atomic
@by_user
def take_up_option(*, option: Option, why: str, user: AbstractBaseUser) -> Option:
    """Consider a dropped option again; its history keeps both reasons and who gave them."""
    row = _option(option)
    if row.dropped_at is None:
        raise ValidationError(_("«%(row)s» is not dropped. Load the page again.") % {"row": row})
    if not why.strip():
        raise ValidationError(
            {"why": _("Say why it is taken up again: the reason stays on record.")}
        )
    row.dropped_at, row.dropped_by, row.dropped_why = None, None, ""
    row.full_clean()
    row._change_reason = why.strip()
    row.save(update_fields=["dropped_at", "dropped_by", "dropped_why"])
    return row


@transaction.atomic
@by_user
def choose_option(
    *, study: OptionStudy, option: Option, why: str, user: AbstractBaseUser
) -> OptionStudy:
    """Choose an option with its reasons; a later choice replaces it, the history keeps both."""
    row = _locked(study)
    taken = Option.objects.get(pk=option.pk)
    if taken.study_id != row.pk:
        raise ValidationError(
            {"option": _("«%(taken)s» belongs to another study.") % {"taken": taken}}
        )
    if taken.dropped_at is not None:
        raise ValidationError(
            {
                "option": _("«%(taken)s» was dropped. Take it up again, or choose another.")
                % {"taken": taken}
            }
        )
    if not why.strip():
        raise ValidationError({"why": _("Say why this one: the reasons stay on record.")})
    row.chosen, row.chosen_why = taken, why.strip()
    row.chosen_by, row.chosen_at = user, timezone.now()
    row.full_clean()
    row.save(update_fields=["chosen", "chosen_why", "chosen_by", "chosen_at"])
    return row


@contextmanager
def _told_at(place: str) -> Iterator[None]:
    """Tell what is refused of one row of several at its place among them."""
    try:
        yield
    except ValidationError as refusal:
        told = refusal.update_error_dict({})
        raise ValidationError(
            {
                place if name == NON_FIELD_ERRORS else f"{place}.{name}": problems
                for name, problems in told.items()
            }
        ) from refusal


def _locked(study: OptionStudy) -> OptionStudy:
    return OptionStudy.objects.select_for_update(no_key=True).get(pk=study.pk)


def _option(option: Option) -> Option:
    """Return the row as it stands, its study locked: choosing and dropping exclude each other."""
    row = Option.objects.get(pk=option.pk)
    row.study = _locked(row.study)
    row.refresh_from_db(fields=["name", "dropped_at", "dropped_by", "dropped_why"])
    return row
