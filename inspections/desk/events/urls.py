"""Addresses of events."""

from django.urls import path

from inspections.desk.events import views
from inspections.tables import table_paths

urlpatterns = [
    path("events/", views.events, name="events"),
    *table_paths("events", views.events_file, "events"),
    path("events/new/", views.event_new, name="event-new"),
    path("events/<int:pk>/", views.event, name="event"),
    path("events/<int:pk>/bridges/", views.event_bridges, name="event-bridges"),
    path("events/<int:pk>/bridges/<int:row>/remove/", views.event_remove, name="event-remove"),
    path("events/<int:pk>/inspections/", views.event_inspections, name="event-inspections"),
]
