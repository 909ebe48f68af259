"""Option studies: ways to mend a defect, held side by side until one is chosen."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from inspections.api import filters
from inspections.api import study_shapes as shapes
from inspections.api import study_write_shapes as sent
from inspections.api.base import BY_ID, Resource
from inspections.api.write_shapes import Strict
from inspections.api.writing import answered_once, checked
from inspections.desk.options.access import WORK, option_for, study_for
from inspections.field.access import VIEW
from inspections.models import OptionStudy
from inspections.selectors import api
from inspections.services import options

Write = Callable[[dict[str, Any]], object]
OPTION = OpenApiParameter("option_pk", int, OpenApiParameter.PATH, description="Id of the option.")


def takes(shape: type[Strict], path: str, code: int = status.HTTP_200_OK) -> Callable[..., Any]:
    """Make a method a write on a study, or on one of its options, that answers with the study."""

    def wrap(method: Callable[..., Response]) -> Callable[..., Response]:
        described = extend_schema(
            request=shape,
            responses={code: shapes.StudyShape},
            parameters=[OPTION] if "option_pk" in path else None,
        )
        return action(detail=True, methods=["post"], url_path=path)(described(method))

    return wrap


def of_option(verb: str) -> str:
    """Return the path of what is done to one option."""
    return f"options/(?P<option_pk>{BY_ID})/{verb}"


class OptionStudies(Resource):
    """Ways to mend a defect held side by side."""

    needs = (VIEW,)
    rows = staticmethod(api.studies_with_options)
    serializer_class = shapes.OptionStudyShape
    filterset_class = filters.OptionStudyFilters
    ordering_fields = {"opened_at": "opened_at", "bridge": "bridge__code"}
    needs_also = dict.fromkeys(
        (
            "create", "add_option", "add_criterion", "weigh", "choose", "change_option",
            "judge_option", "drop_option", "take_up_option",
        ),
        (WORK,),
    )  # fmt: skip

    def get_serializer_class(self) -> type[BaseSerializer]:
        """Return the shape of one study side by side, or of those in a list."""
        return shapes.OptionStudyShape if self.action == "list" else shapes.StudyShape

    @extend_schema(request=sent.NewStudyShape, responses={201: shapes.StudyShape})
    def create(self, request: Request) -> Response:
        """Open a study."""
        body = checked(sent.NewStudyShape, request)
        return answered_once(
            request, lambda: self.shown(options.open_study(**body, user=request.user))
        )

    @takes(sent.OptionSentShape, "options", status.HTTP_201_CREATED)
    def add_option(self, request: Request, pk: str) -> Response:
        """Put an option beside the others."""
        study = study_for(request.user, int(pk), WORK)
        return self._written(
            request,
            study,
            sent.OptionSentShape,
            lambda body: options.add_option(study=study, **body),
            status.HTTP_201_CREATED,
        )

    @takes(sent.NewCriterionShape, "criteria", status.HTTP_201_CREATED)
    def add_criterion(self, request: Request, pk: str) -> Response:
        """Hold the options against one thing more."""
        study = study_for(request.user, int(pk), WORK)
        return self._written(
            request,
            study,
            sent.NewCriterionShape,
            lambda body: options.add_criterion(study=study, **body),
            status.HTTP_201_CREATED,
        )

    @takes(sent.WeightsShape, "weights")
    def weigh(self, request: Request, pk: str) -> Response:
        """Weigh the criteria; what the weights were stays on record."""
        study = study_for(request.user, int(pk), WORK)
        return self._written(
            request, study, sent.WeightsShape, lambda body: options.weigh(study=study, **body)
        )

    @takes(sent.ChoiceShape, "choose")
    def choose(self, request: Request, pk: str) -> Response:
        """Choose an option with its reasons; an earlier choice stays on record."""
        study = study_for(request.user, int(pk), WORK)

        def write(body: dict[str, Any]) -> object:
            return options.choose_option(
                study=study, option=body["option"], why=body["reason"], user=request.user
            )

        return self._written(request, study, sent.ChoiceShape, write)

    @takes(sent.OptionSentShape, of_option("change"))
    def change_option(self, request: Request, pk: str, option_pk: str) -> Response:
        """Describe an option better; what stood there stays on record."""
        option = option_for(request.user, int(pk), int(option_pk))
        return self._written(
            request,
            option.study,
            sent.OptionSentShape,
            lambda body: options.change_option(option=option, **body),
        )

    @takes(sent.JudgementsShape, of_option("judgements"), status.HTTP_201_CREATED)
    def judge_option(self, request: Request, pk: str, option_pk: str) -> Response:
        """Judge an option; the last judgement by a criterion counts, the earlier ones stay."""
        option = option_for(request.user, int(pk), int(option_pk))
        return self._written(
            request,
            option.study,
            sent.JudgementsShape,
            lambda body: options.judge_option(option=option, **body, user=request.user),
            status.HTTP_201_CREATED,
        )

    @takes(sent.ReasonShape, of_option("drop"))
    def drop_option(self, request: Request, pk: str, option_pk: str) -> Response:
        """Leave an option out, with the reason; it stays on record."""
        return self._reasoned(request, pk, option_pk, options.drop_option)

    @takes(sent.ReasonShape, of_option("take-up"))
    def take_up_option(self, request: Request, pk: str, option_pk: str) -> Response:
        """Consider a dropped option again."""
        return self._reasoned(request, pk, option_pk, options.take_up_option)

    def _reasoned(
        self, request: Request, pk: str, option_pk: str, service: Callable[..., object]
    ) -> Response:
        option = option_for(request.user, int(pk), int(option_pk))

        def write(body: dict[str, Any]) -> object:
            return service(option=option, why=body["reason"], user=request.user)

        return self._written(request, option.study, sent.ReasonShape, write)

    def _written(
        self,
        request: Request,
        study: OptionStudy,
        shape: type[Strict],
        write: Write,
        code: int = status.HTTP_200_OK,
    ) -> Response:
        body = checked(shape, request)

        def told() -> BaseSerializer:
            write(body)
            return self.shown(study)

        return answered_once(request, told, code)
