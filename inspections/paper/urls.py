"""Addresses of what is printed."""

from django.urls import path

from inspections.paper import views

urlpatterns = [
    path("bridges/<str:code>/report.pdf", views.bridge_report, name="bridge-report"),
]
