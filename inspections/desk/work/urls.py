"""Addresses of work orders."""

from django.urls import path

from inspections.desk.work import changes, finishing, views
from inspections.tables import table_paths

urlpatterns = [
    path("work/", views.orders, name="orders"),
    *table_paths("work", views.orders_file, "orders"),
    path("work/new/", views.order_new, name="order-new"),
    path("work/<int:pk>/", views.order, name="order"),
    path("work/<int:pk>/change/", changes.order_change, name="order-change"),
    path("work/<int:pk>/begin/", changes.order_begin, name="order-begin"),
    path("work/<int:pk>/cancel/", changes.order_cancel, name="order-cancel"),
    path("work/<int:pk>/finish/", finishing.order_finish, name="order-finish"),
]
