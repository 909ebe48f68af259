"""Addresses of the API."""

from django.urls import include, path, re_path
from drf_spectacular.views import SpectacularJSONAPIView
from rest_framework.routers import SimpleRouter

from inspections.api import (
    desk_views,
    drawing_views,
    event_views,
    field_views,
    finding_views,
    key_views,
    plan_views,
    register_views,
    study_views,
    threshold_views,
    visit_views,
)
from inspections.api.access import SignedIn
from inspections.api.docs import docs
from inspections.api.nothing import Nothing

router = SimpleRouter()
for name, resource in (
    ("districts", register_views.Districts),
    ("bridges", register_views.Bridges),
    ("units", register_views.Units),
    ("supports", register_views.Supports),
    ("elements", register_views.Elements),
    ("drawings", drawing_views.Drawings),
    ("inspections", visit_views.Inspections),
    ("readings", visit_views.Readings),
    ("temperatures", visit_views.Temperatures),
    ("verdicts", visit_views.Verdicts),
    ("flags", desk_views.Flags),
    ("due", desk_views.DueList),
    ("work-orders", desk_views.WorkOrders),
    ("events", event_views.Events),
    ("option-studies", study_views.OptionStudies),
    ("conditions", field_views.Conditions),
    ("notes", field_views.Notes),
    ("critical-findings", field_views.CriticalFindings),
    ("left-out", field_views.LeftOutList),
    ("photos", field_views.Photos),
    ("set-aside", field_views.SetAsideList),
    ("sign-offs", field_views.SignOffs),
    ("ratings", field_views.Ratings),
    ("air-temperatures", field_views.AirHours),
    ("air-days", field_views.AirDays),
    ("air-stations", field_views.AirStations),
    ("histories", finding_views.Histories),
    ("diagnoses", finding_views.Diagnoses),
    ("best-times", finding_views.BestTimes),
    ("capacity-checks", finding_views.CapacityChecks),
    ("intervals", plan_views.Intervals),
    ("planned-visits", plan_views.PlannedVisits),
    ("element-data", plan_views.ElementData),
):
    router.register(name, resource, basename=f"api-{name}")

urlpatterns = [
    path("api/v1/", include(router.urls)),
    path(
        "api/v1/thresholds/",
        threshold_views.Thresholds.as_view({"get": "show", "post": "change"}),
        name="api-thresholds",
    ),
    path(
        "api/v1/thresholds/preview/",
        threshold_views.ThresholdPreview.as_view({"get": "show"}),
        name="api-threshold-preview",
    ),
    re_path(
        rf"^api/v1/thresholds/preview/(?P<code>{register_views.BY_CODE})/$",
        threshold_views.ThresholdPreview.as_view({"get": "bridge"}),
        name="api-threshold-preview-bridge",
    ),
    path(
        "api/v1/thresholds/changes/",
        threshold_views.ThresholdChanges.as_view(),
        name="api-threshold-changes",
    ),
    path(
        "api/schema/",
        SpectacularJSONAPIView.as_view(permission_classes=[SignedIn], throttle_classes=[]),
        name="api-schema",
    ),
    path("api/docs/", docs, name="api-docs"),
    path("api-keys/", key_views.api_keys, name="api-keys"),
    path("api-keys/<uuid:pk>/revoke/", key_views.api_key_revoke, name="api-key-revoke"),
    re_path(r"^api/v1/", Nothing.as_view()),
]
