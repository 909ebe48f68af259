"""Addresses of what is printed."""

from django.urls import path

from inspections.desk.paper import views

urlpatterns = [
    path("bridges/<str:code>/report.pdf", views.bridge_report, name="bridge-report"),
    path("bridges/<str:code>/labels.pdf", views.bridge_labels, name="bridge-labels"),
    path("inspections/<int:pk>/form.pdf", views.inspection_form, name="inspection-form"),
    path("options/<int:pk>/paper.pdf", views.study_paper, name="study-paper"),
    path("elements/<int:pk>/card.pdf", views.element_card, name="element-card"),
    path("events/<int:pk>/report.pdf", views.event_paper, name="event-report"),
    path("work/list.pdf", views.work_list, name="work-list"),
    path("districts/summary.pdf", views.district_paper, name="district-summary"),
    path("flags/<int:pk>/plain.pdf", views.plain_flag, name="plain-flag-paper"),
    path("bridges/<str:code>/plain.pdf", views.plain_bridge, name="plain-bridge-paper"),
]
