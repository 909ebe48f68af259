"""Every address of the site."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

from inspections.accounts.sign_in import to_sign_in
from inspections.project import health

handler403 = "inspections.project.failing.not_allowed"
handler404 = "inspections.project.failing.not_found"
handler500 = "inspections.project.failing.failed"

urlpatterns = [
    path("healthz", health.alive, name="healthz"),
    path("readyz", health.ready, name="readyz"),
    path("metrics", health.metrics, name="metrics"),
    path("admin/login/", to_sign_in),
    path("admin/password_change/", RedirectView.as_view(pattern_name="password-change")),
    path("admin/", admin.site.urls),
    path("", include("inspections.accounts.urls")),
    path("", include("inspections.desk.queue.urls")),
    path("", include("inspections.desk.urls")),
    path("", include("inspections.desk.plain.urls")),
    path("", include("inspections.desk.element.urls")),
    path("", include("inspections.desk.bridge.urls")),
    path("", include("inspections.desk.drawings.urls")),
    path("", include("inspections.desk.plan.urls")),
    path("", include("inspections.desk.events.urls")),
    path("", include("inspections.desk.paper.urls")),
    path("", include("inspections.desk.options.urls")),
    path("", include("inspections.desk.work.urls")),
    path("", include("inspections.desk.thresholds.urls")),
    path("", include("inspections.desk.exchange.urls")),
    path("", include("inspections.desk.judging.urls")),
    path("", include("inspections.desk.jobs.urls")),
    path("", include("inspections.desk.people.urls")),
    path("", include("inspections.desk.changes.urls")),
    path("", include("inspections.field.urls")),
    path("", include("inspections.field.tablet.urls")),
    path("", include("inspections.api.urls")),
]
