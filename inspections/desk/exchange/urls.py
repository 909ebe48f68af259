"""Addresses of the pages that take files in and give them out."""

from django.urls import path

from inspections.desk.exchange import views
from inspections.exchange.kinds import KINDS
from inspections.tables import XLSX

urlpatterns = [
    path("imports/", views.imports, name="imports"),
    *(
        path(f"imports/{kind}/", views.import_file, {"kind": kind}, name=f"import-{kind}")
        for kind in KINDS
    ),
    path("jobs/<int:pk>/import/", views.import_checked, name="job-import"),
    path("imports/<slug:kind>/columns/", views.import_columns, name="import-columns"),
    path("imports/<slug:kind>/sample/", views.import_template, name="import-template"),
    path("exports/register.csv", views.export_register, name="export-register"),
    path(
        "exports/register.xlsx",
        views.export_register,
        {"kind": XLSX},
        name="export-register-xlsx",
    ),
    path("exports/readings.csv", views.export_readings, name="export-readings"),
    path(
        "exports/readings.xlsx",
        views.export_readings,
        {"kind": XLSX},
        name="export-readings-xlsx",
    ),
    path("exports/element-data/", views.element_data_out, name="element-data-out"),
    path("exports/element-data.xml", views.export_element_data, name="export-element-data"),
]
