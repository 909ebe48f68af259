"""Address of an element."""

from django.urls import path

from inspections.desk.element import views

urlpatterns = [path("elements/<int:pk>/", views.element, name="element")]
