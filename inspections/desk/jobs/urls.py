"""Addresses of long jobs."""

from django.urls import path

from inspections.desk.jobs import views

urlpatterns = [
    path("jobs/", views.jobs, name="jobs"),
    path("jobs/<int:pk>/", views.job, name="job"),
    path("jobs/<int:pk>/state.json", views.job_state, name="job-state"),
    path("jobs/<int:pk>/result/", views.job_result, name="job-result"),
    path("jobs/<int:pk>/again/", views.job_again, name="job-again"),
]
