"""Addresses of people and roles."""

from django.urls import path

from inspections.desk.people import views

urlpatterns = [
    path("people/", views.people_list, name="people"),
    path("people/<int:pk>/", views.person, name="person"),
    path("people/<int:pk>/roles/<int:held_pk>/end/", views.role_end, name="role-end"),
    path("who-may-what/", views.who_may_what, name="who-may-what"),
]
