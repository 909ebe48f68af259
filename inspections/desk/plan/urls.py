"""Addresses of the plan."""

from django.urls import path

from inspections.desk.plan import calendar_views, interval_views, overview, route, visit_views
from inspections.tables import table_paths

urlpatterns = [
    path("plan/", overview.plan, name="plan"),
    *table_paths("plan/due", overview.due_file, "plan-due"),
    path("plan/not-enough/", overview.not_enough_information, name="plan-not-enough"),
    path("plan/calendar/", calendar_views.month, name="plan-calendar"),
    path("plan/subscriptions/", calendar_views.subscriptions, name="plan-subscriptions"),
    path(
        "plan/subscriptions/<uuid:pk>/end/",
        calendar_views.subscription_end,
        name="plan-subscription-end",
    ),
    path("plan/route/", route.day_route, name="plan-route"),
    path("plan/visits/new/", visit_views.visit_new, name="visit-new"),
    path("plan/visits/<int:pk>/", visit_views.visit, name="visit"),
    path("plan/visits/<int:pk>/change/", visit_views.visit_change, name="visit-change"),
    path("plan/visits/<int:pk>/cancel/", visit_views.visit_cancel, name="visit-cancel"),
    path("plan/visits/<int:pk>/open/", visit_views.visit_open, name="visit-open"),
    path("plan/<str:key>.ics", calendar_views.feed, name="calendar-feed"),
    path("bridges/<str:code>/intervals/", interval_views.intervals, name="bridge-intervals"),
    path(
        "bridges/<str:code>/intervals/<int:pk>/end/",
        interval_views.interval_end,
        name="bridge-interval-end",
    ),
]
