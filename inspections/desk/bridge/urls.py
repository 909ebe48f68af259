"""Address of a bridge's page."""

from django.urls import path

from inspections.desk.bridge import views

urlpatterns = [
    path("bridges/<str:code>/", views.bridge, name="bridge"),
]
