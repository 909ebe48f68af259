"""Addresses of the API."""

from django.urls import include, path, re_path
from drf_spectacular.views import SpectacularJSONAPIView
from rest_framework.routers import SimpleRouter

from inspections.api import desk_views, key_views, register_views, visit_views
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
    ("inspections", visit_views.Inspections),
    ("readings", visit_views.Readings),
    ("temperatures", visit_views.Temperatures),
    ("verdicts", visit_views.Verdicts),
    ("flags", desk_views.Flags),
    ("due", desk_views.DueList),
    ("work-orders", desk_views.WorkOrders),
    ("events", desk_views.Events),
    ("option-studies", desk_views.OptionStudies),
):
    router.register(name, resource, basename=f"api-{name}")

urlpatterns = [
    path("api/v1/", include(router.urls)),
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
