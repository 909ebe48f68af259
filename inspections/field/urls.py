"""Addresses of visits and their readings."""

from django.urls import path

from inspections.field import corrections, deciding, entry, views
from inspections.tables import table_paths

urlpatterns = [
    path("inspections/", views.inspection_list, name="inspections"),
    *table_paths("inspections", views.inspections_file, "inspections"),
    path("inspections/new/", views.inspection_new, name="inspection-new"),
    path("inspections/<int:pk>/", views.inspection_page, name="inspection"),
    path("inspections/<int:pk>/submit/", views.inspection_submit, name="inspection-submit"),
    path("inspections/<int:pk>/accept/", views.inspection_accept, name="inspection-accept"),
    path("inspections/<int:pk>/return/", views.inspection_return, name="inspection-return"),
    path("inspections/<int:pk>/ratings/", deciding.rating_add, name="rating-add"),
    path("inspections/<int:pk>/temperatures/", entry.temperature_form, name="temperature-form"),
    path(
        "inspections/<int:pk>/elements/<int:element_pk>/",
        entry.reading_form,
        name="reading-form",
    ),
    path("readings/<int:pk>/correct/", corrections.reading_correct, name="reading-correct"),
    path("readings/<int:pk>/set-aside/", deciding.reading_set_aside, name="reading-set-aside"),
    path("critical-findings/<int:pk>/seen/", deciding.critical_seen, name="critical-seen"),
    path(
        "temperatures/<int:pk>/correct/",
        corrections.temperature_correct,
        name="temperature-correct",
    ),
]
