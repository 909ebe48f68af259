"""Addresses of people and roles."""

from django.urls import path

from inspections.desk.people import views

urlpatterns = [
    path("people/", views.people_list, name="people"),
    path("people/invite/", views.invite_somebody, name="person-invite"),
    path("people/<int:pk>/link/", views.person_link, name="person-link"),
    path("people/<int:pk>/state/", views.person_state, name="person-state"),
    path("people/<int:pk>/second-factor/", views.person_second_factor, name="person-second-factor"),
    path("people/<int:pk>/", views.person, name="person"),
    path("people/<int:pk>/roles/<int:held_pk>/end/", views.role_end, name="role-end"),
    path("who-may-what/", views.who_may_what, name="who-may-what"),
]
