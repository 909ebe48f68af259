"""Pages that change a study: options, criteria, weights, judgements, drops and the choice."""

from __future__ import annotations

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from inspections.desk.options.access import WORK, option_for, study_for
from inspections.desk.options.forms import (
    ChoiceForm,
    CriterionForm,
    JudgementForm,
    OptionForm,
    WeightsForm,
    WhyForm,
)
from inspections.lookups.options import judgements_of
from inspections.models import OptionStudy
from inspections.refusals import written
from inspections.services import options as services


def option_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Put an option beside the others."""
    study = study_for(request.user, pk, WORK)
    form = OptionForm(request.POST or None)
    return _page(
        request,
        study,
        form,
        lambda: services.add_option(study=study, **form.cleaned_data),
        heading=_("New option"),
        button=_("Add the option"),
        done=_("Option added."),
    )


def option_change(request: HttpRequest, pk: int, option_pk: int) -> HttpResponse:
    """Describe an option better."""
    option = option_for(request.user, pk, option_pk)
    form = OptionForm(
        request.POST or None,
        initial={
            "name": option.name,
            "description": option.description,
            "cost": option.cost,
            "duration_days": option.duration_days,
        },
    )
    return _page(
        request,
        option.study,
        form,
        lambda: services.change_option(option=option, **form.cleaned_data),
        heading=_("Change «%(option)s»") % {"option": option},
        button=_("Save"),
        done=_("Option changed."),
    )


def criterion_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Hold the options against one thing more."""
    study = study_for(request.user, pk, WORK)
    form = CriterionForm(request.POST or None, study=study)
    return _page(
        request,
        study,
        form,
        lambda: services.add_criterion(study=study, **form.cleaned_data),
        heading=_("New criterion"),
        button=_("Add the criterion"),
        done=_("Criterion added."),
    )


def weights(request: HttpRequest, pk: int) -> HttpResponse:
    """Weigh the criteria."""
    study = study_for(request.user, pk, WORK)
    form = WeightsForm(request.POST or None, criteria=list(study.criteria.all()))
    return _page(
        request,
        study,
        form,
        lambda: services.weigh(study=study, weights=form.weights()),
        heading=_("Weights of the criteria"),
        button=_("Save the weights"),
        done=_("Weights saved."),
        about=_(
            "From 0 to 100; only the proportions count. A criterion of weight 0 is shown and"
            " not counted. What they were stays on record."
        ),
    )


def option_judge(request: HttpRequest, pk: int, option_pk: int) -> HttpResponse:
    """Judge one option by every criterion."""
    option = option_for(request.user, pk, option_pk)
    form = JudgementForm(
        request.POST or None,
        criteria=list(option.study.criteria.all()),
        now=judgements_of(option),
    )
    return _page(
        request,
        option.study,
        form,
        lambda: services.judge_option(
            option=option, judgements=form.judgements(), user=request.user
        ),
        heading=_("Judge «%(option)s»") % {"option": option},
        button=_("Save the judgements"),
        done=_("«%(option)s» judged. Earlier judgements stay on record.") % {"option": option},
        template="options/judge.html",
        option=option,
    )


def option_drop(request: HttpRequest, pk: int, option_pk: int) -> HttpResponse:
    """Leave an option out, with the reason."""
    option = option_for(request.user, pk, option_pk)
    form = WhyForm(request.POST or None)
    return _page(
        request,
        option.study,
        form,
        lambda: services.drop_option(option=option, user=request.user, **form.cleaned_data),
        heading=_("Drop «%(option)s»") % {"option": option},
        button=_("Drop the option"),
        done=_("«%(option)s» is dropped; it stays on record with the reason.") % {"option": option},
    )


def option_take_up(request: HttpRequest, pk: int, option_pk: int) -> HttpResponse:
    """Consider a dropped option again."""
    option = option_for(request.user, pk, option_pk)
    form = WhyForm(request.POST or None)
    return _page(
        request,
        option.study,
        form,
        lambda: services.take_up_option(option=option, user=request.user, **form.cleaned_data),
        heading=_("Take up «%(option)s» again") % {"option": option},
        button=_("Take it up again"),
        done=_("«%(option)s» stands beside the others again.") % {"option": option},
        about=_("It was dropped because: %(why)s") % {"why": option.dropped_why}
        if option.dropped_why
        else "",
    )


def choose(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose an option with its reasons."""
    study = study_for(request.user, pk, WORK)
    form = ChoiceForm(request.POST or None, study=study)
    return _page(
        request,
        study,
        form,
        lambda: services.choose_option(study=study, user=request.user, **form.cleaned_data),
        heading=_("Choose an option"),
        button=_("Choose it"),
        done=_("The choice stands with its reasons."),
        about=_("The numbers do not decide: say what did. An earlier choice stays on record."),
    )


def _page(
    request: HttpRequest,
    study: OptionStudy,
    form: forms.Form,
    write: Callable[[], object],
    *,
    heading: str,
    button: str,
    done: str,
    about: str = "",
    template: str = "options/change.html",
    **more: object,
) -> HttpResponse:
    """Show a form of a study, or write what it holds and go back to the study."""
    if request.method == "POST" and form.is_valid() and written(form, write):
        messages.success(request, done)
        return redirect("study", study.pk)
    return render(
        request,
        template,
        {
            "study": study,
            "form": form,
            "heading": heading,
            "button": button,
            "about": about,
            **more,
        },
    )
