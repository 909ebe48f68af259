"""The agency's settings: what holds, what a change would do, saving it, and what was changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import partial
from typing import Any

from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView
from rest_framework.viewsets import ViewSet

from inspections.api import threshold_shapes as shapes
from inspections.api.base import Asked
from inspections.api.writing import answered_once, checked
from inspections.desk.thresholds.views import CHANGE
from inspections.field.access import VIEW
from inspections.selectors import thresholds as selectors
from inspections.services import jobs
from inspections.services import thresholds as services


class Thresholds(Asked, ViewSet):
    """The agency's thresholds and standing uncertainties."""

    needs = (VIEW,)
    needs_also: Mapping[str, tuple[str, ...]] = {"change": (CHANGE,)}

    @extend_schema(responses=shapes.ThresholdsShape)
    def show(self, _request: Request) -> Response:
        """Return every figure with its unit and limits."""
        return Response(shapes.what_holds(self.system).data)

    @extend_schema(request=shapes.NewFiguresShape, responses={200: shapes.ThresholdsShape})
    def change(self, request: Request) -> Response:
        """Save changed figures; the bridges whose verdicts they enter are judged again.

        The answer tells how many that are; they are judged after it was written.
        """
        body = checked(shapes.NewFiguresShape, request)
        save = partial(
            services.save_settings,
            reason=body.pop("reason"),
            based_on=body.pop("based_on"),
            figures=body,
            user=request.user,
            start=jobs.start_after_commit,
        )

        def write() -> shapes.ThresholdsShape:
            save()
            return shapes.what_holds(self.system)

        return answered_once(request, write, status.HTTP_200_OK)


class ThresholdPreview(Asked, ViewSet):
    """What proposed figures would do; nothing is written."""

    needs = (VIEW, CHANGE)

    def known_parameters(self) -> Iterable[str]:
        """Return the names of the figures."""
        return services.FIGURES

    @extend_schema(parameters=[shapes.FiguresShape], responses=shapes.PreviewShape)
    def show(self, request: Request) -> Response:
        """Return which figures would change, and the first flags to decide by other weights."""
        found = self._proposal(request)
        told = {
            "figures": [
                {"name": name, "before": was, "after": would} for name, was, would in found.figures
            ],
            "by_bridge": found.moves_bridges,
            "first_of_queue": found.queue_moves(timezone.localdate()),
        }
        return Response(shapes.PreviewShape(told).data)

    @extend_schema(
        operation_id="thresholds_preview_bridge_retrieve",
        parameters=[shapes.FiguresShape],
        responses=shapes.BridgePreviewShape,
    )
    def bridge(self, request: Request, code: str) -> Response:
        """Return what would change at one bridge."""
        bridge = get_object_or_404(selectors.bridges_to_preview(), code=code)
        found = self._proposal(request)
        told = selectors.preview_of(
            bridge, found.now, found.then, found.names, timezone.localdate()
        )
        return Response(shapes.BridgePreviewShape(told).data)

    def _proposal(self, request: Request) -> selectors.Proposal:
        asked: dict[str, Any] = {
            name: request.query_params[name]
            for name in services.FIGURES
            if name in request.query_params
        }
        figures = shapes.FiguresShape(data=asked)
        figures.is_valid(raise_exception=True)
        return selectors.proposal(figures.validated_data)


class ThresholdChanges(Asked, APIView):
    """How the agency's settings came to be."""

    needs = (VIEW,)

    @extend_schema(responses=shapes.ChangeShape(many=True))
    def get(self, _request: Request) -> Response:
        """Return every change of the settings, newest first."""
        told = [
            {
                "at": each.at,
                "by": each.by,
                "reason": each.reason,
                "figures": [
                    {"name": name, "before": before, "after": after}
                    for name, before, after in each.figures
                ],
            }
            for each in selectors.history_of_settings()
        ]
        return Response(shapes.ChangeShape(told, many=True).data)
