"""Addresses of the queue."""

from django.urls import path

from inspections.desk.queue import saved_views, views
from inspections.tables import table_paths

urlpatterns = [
    path("", views.queue, name="home"),
    *table_paths("queue", views.queue_file, "queue"),
    path("flags/decide/", views.decide_several, name="flags-decide"),
    path("flags/<int:pk>/", views.flag, name="flag"),
    path("lists/save/", saved_views.save, name="saved-list-save"),
    path("lists/<int:pk>/rename/", saved_views.rename, name="saved-list-rename"),
    path("lists/<int:pk>/remove/", saved_views.remove, name="saved-list-remove"),
]
