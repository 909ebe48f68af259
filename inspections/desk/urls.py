"""Addresses of the engineer's pages."""

from django.urls import path

from inspections.desk import views

urlpatterns = [
    path("elements/", views.flagged, name="elements"),
    path("bridges/", views.bridges, name="bridges"),
    path("preferences/units/", views.units, name="units"),
]
