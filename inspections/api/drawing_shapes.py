"""Drawings as the API gives them and takes them."""

from __future__ import annotations

from django.urls import reverse
from rest_framework import serializers

from inspections.api.desk_write_shapes import Id
from inspections.api.shapes import Code, Shape
from inspections.api.write_shapes import Strict
from inventory.models import Bridge, Drawing, Element


class DrawingShape(Shape):
    """A drawing; `file` is the address of what is drawn."""

    bridge = Code()
    element_code = serializers.CharField(
        source="element.code", read_only=True, allow_null=True, default=None
    )
    is_earlier = serializers.BooleanField(
        read_only=True, help_text="Whether a later revision of the sheet is on record."
    )
    file = serializers.SerializerMethodField()

    class Meta:
        model = Drawing
        fields = [
            "id", "bridge", "element", "element_code", "number", "revision", "title", "dated",
            "format", "sheets", "size_bytes", "file", "sent_sha256", "is_earlier", "added_at",
            "withdrawn_at", "withdrawn_why",
        ]  # fmt: skip
        read_only_fields = fields

    def get_file(self, row: Drawing) -> str:
        """Return where the file is."""
        return reverse("api-drawings-file", args=[row.pk])


class DrawingSaidShape(Strict):
    """What a drawing is."""

    number = serializers.CharField(max_length=60)
    revision = serializers.CharField(max_length=12, allow_blank=True, default="")
    title = serializers.CharField(max_length=160)
    dated = serializers.DateField(allow_null=True, default=None)
    element = Id(Element.objects, "bridge", allow_null=True, default=None)


class NewDrawingShape(DrawingSaidShape):
    """A drawing with its file: PDF, PNG, JPEG, TIFF or WebP, which is encoded anew."""

    bridge = Code(queryset=Bridge.objects)
    file = serializers.FileField()


class WithdrawnShape(Strict):
    """Why a drawing holds no longer."""

    reason = serializers.CharField(max_length=240)
