"""Addresses of options side by side."""

from django.urls import path

from inspections.desk.options import changes, views
from inspections.tables import table_paths

urlpatterns = [
    path("options/", views.studies, name="options"),
    *table_paths("options", views.studies_file, "options"),
    path("options/new/", views.study_new, name="study-new"),
    path("options/<int:pk>/", views.study, name="study"),
    path("options/<int:pk>/options/new/", changes.option_new, name="option-new"),
    path("options/<int:pk>/criteria/new/", changes.criterion_new, name="criterion-new"),
    path("options/<int:pk>/weights/", changes.weights, name="study-weights"),
    path("options/<int:pk>/choose/", changes.choose, name="study-choose"),
    path("options/<int:pk>/options/<int:option_pk>/", changes.option_change, name="option-change"),
    path(
        "options/<int:pk>/options/<int:option_pk>/judge/", changes.option_judge, name="option-judge"
    ),
    path("options/<int:pk>/options/<int:option_pk>/drop/", changes.option_drop, name="option-drop"),
    path(
        "options/<int:pk>/options/<int:option_pk>/take-up/",
        changes.option_take_up,
        name="option-take-up",
    ),
]
