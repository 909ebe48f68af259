"""Addresses of the engineer's pages."""

from django.urls import path

from inspections.desk import views
from inspections.tables import table_paths

urlpatterns = [
    path("elements/", views.flagged, name="elements"),
    *table_paths("elements", views.flagged_file, "elements"),
    path("bridges/", views.bridges, name="bridges"),
    *table_paths("bridges", views.bridges_file, "bridges"),
    path("preferences/units/", views.units, name="units"),
]
