"""Addresses of the list of changes."""

from django.urls import path

from inspections.desk.changes import views
from inspections.tables import table_paths

urlpatterns = [
    path("changes/", views.changes_page, name="changes"),
    *table_paths("changes", views.changes_file, "changes"),
]
