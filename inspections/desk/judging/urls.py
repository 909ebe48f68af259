"""Address of the explanation."""

from django.urls import path

from inspections.desk.judging import views

urlpatterns = [path("how-it-is-judged/", views.how, name="how-it-is-judged")]
