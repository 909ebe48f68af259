"""Addresses of the tablet: its page, its worker, what it takes along and what it sends."""

from django.urls import path

from inspections.field.tablet import sending, shell, taking

urlpatterns = [
    path("worker.js", shell.worker, name="tablet-worker"),
    path("manifest.webmanifest", shell.manifest, name="tablet-manifest"),
    path("field/", shell.page, name="tablet"),
    path("field/inspections.json", taking.inspection_list, name="tablet-inspections"),
    path("field/inspections/<int:pk>/packet.json", taking.packet, name="tablet-packet"),
    path("field/photos/<uuid:uid>/image", taking.photo, name="photo"),
    path("field/photos/<uuid:uid>/thumbnail", taking.thumbnail, name="photo-thumbnail"),
    path("field/photos/<uuid:uid>", sending.photo, name="tablet-photo"),
    path("field/records", sending.records, name="tablet-records"),
]
