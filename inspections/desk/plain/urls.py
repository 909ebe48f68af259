"""Addresses of pages in plain words."""

from django.urls import path

from inspections.desk.plain import views

urlpatterns = [
    path("flags/<int:pk>/plain/", views.plain_flag, name="plain-flag"),
    path("bridges/<str:code>/plain/", views.plain_bridge, name="plain-bridge"),
]
