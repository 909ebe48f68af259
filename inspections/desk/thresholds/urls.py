"""Addresses of the agency's settings."""

from django.urls import path

from inspections.desk.thresholds import views

urlpatterns = [
    path("thresholds/", views.thresholds, name="thresholds"),
    path("thresholds/preview/<int:pk>/", views.preview, name="thresholds-preview"),
]
