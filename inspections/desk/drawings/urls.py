"""Addresses of drawings."""

from django.urls import path

from inspections.desk.drawings import views

urlpatterns = [
    path("bridges/<str:code>/drawings/new/", views.drawing_new, name="drawing-new"),
    path("drawings/<int:pk>/change/", views.drawing_change, name="drawing-change"),
    path("drawings/<int:pk>/withdraw/", views.drawing_withdraw, name="drawing-withdraw"),
    path("drawings/<int:pk>/file/", views.drawing_file, name="drawing-file"),
]
