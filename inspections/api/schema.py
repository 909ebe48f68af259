"""What the OpenAPI description says beyond what the serializers tell."""

from __future__ import annotations

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension, OpenApiSerializerExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.plumbing import ResolvedComponent
from drf_spectacular.utils import Direction
from rest_framework.permissions import SAFE_METHODS

from inspections.api.base import STILL_TO_JUDGE
from inspections.api.problems import MEDIA_TYPE, TYPES
from inspections.api.shapes import Shape, Told
from inspections.api.units import SUFFIX_OF, us_name, with_unit
from inspections.form_spec import FIELDS

UNITS = {
    "name": "units",
    "in": "query",
    "schema": {"type": "string", "enum": ["si", "us"], "default": "si"},
    "description": "Units of the values, which the names of the fields tell: `gap_mm` or `gap_in`,"
    " `temperature_c` or `temperature_f`. Differences of temperature end in `_k` or `_delta_f`.",
}
IDEMPOTENCY_KEY = {
    "name": "Idempotency-Key",
    "in": "header",
    "required": True,
    "schema": {"type": "string", "minLength": 8, "maxLength": 100, "pattern": "^[!-~]{8,100}$"},
    "description": "A new text for each write, such as a UUID. Sent again with the same request,"
    " the first answer is given again and nothing is written; with another request it is refused.",
}
OLDER_VERDICTS = {
    "description": "How many bridges are still to be judged by newer settings; until then their"
    " verdicts and flags are those from before. Left out where there is none.",
    "schema": {"type": "integer", "minimum": 1},
}
PROBLEM = {
    "type": "object",
    "description": "A problem document (RFC 9457).",
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "properties": {
                    "field": {
                        "type": "string",
                        "description": "Where it stands, such as `readings[2].taken_at`; empty"
                        " where it concerns the whole.",
                    },
                    "message": {"type": "string", "description": "What is wrong and the remedy."},
                },
                "required": ["field", "message"],
            },
        },
    },
    "required": ["type", "title", "status", "detail", "errors"],
}


class Schema(AutoSchema):
    """Adds units, idempotency keys and problem documents to each operation."""

    def get_operation(self, *args: Any, **kwargs: Any) -> dict[str, Any] | None:
        """Return the description of one operation."""
        operation = super().get_operation(*args, **kwargs)
        if operation is None:
            return None
        writes = self.method not in SAFE_METHODS
        more = [UNITS, *([IDEMPOTENCY_KEY] if writes else [])]
        operation["parameters"] = [*operation.get("parameters", []), *more]
        for response in operation["responses"].values():
            response.setdefault("headers", {})[STILL_TO_JUDGE] = OLDER_VERDICTS
        codes = [400, 401, 403, 406, 429, 503]
        codes.append(404)  # of a list: a page beyond the last
        if writes:
            codes += [409, 415, 422]
        content = {MEDIA_TYPE: {"schema": self._problem().ref}}
        for code in sorted(codes):
            operation["responses"][f"{code}"] = {"description": TYPES[code][1], "content": content}
        return operation

    def _problem(self) -> ResolvedComponent:
        component = ResolvedComponent(
            name="Problem", type=ResolvedComponent.SCHEMA, object="Problem", schema=PROBLEM
        )
        self.registry.register_on_missing(component)
        return component


class ShapeExtension(OpenApiSerializerExtension):
    """Tells the names in both systems of units; which of them come, the parameter says."""

    target_class = Shape
    match_subclasses = True

    def map_serializer(self, auto_schema: AutoSchema, direction: Direction) -> dict[str, Any]:
        """Return the schema of a row."""
        schema = auto_schema._map_serializer(self.target, direction, bypass_extensions=True)
        properties = schema["properties"]
        number = {"type": "number", "format": "double", "nullable": True}
        for name in getattr(self.target, "by_quantity", ()):
            for field in FIELDS.values():
                told = field.quantity.value if name == "value" else name
                known = with_unit(told, SUFFIX_OF[field.dimension])
                properties.setdefault(known, dict(number))
        model = self.target.Meta.model
        for name, told in properties.items():
            column = next((each for each in model._meta.fields if each.name == name), None)
            if "enum" in told and column is not None and column.blank and "" not in told["enum"]:
                told["enum"] = ["", *told["enum"]]
        return _in_both_units(schema)


class ToldExtension(OpenApiSerializerExtension):
    """Tells the names in both systems of units of what is reckoned for an answer."""

    target_class = Told
    match_subclasses = True

    def map_serializer(self, auto_schema: AutoSchema, direction: Direction) -> dict[str, Any]:
        """Return the schema of what is told."""
        return _in_both_units(
            auto_schema._map_serializer(self.target, direction, bypass_extensions=True)
        )


def _in_both_units(schema: dict[str, Any]) -> dict[str, Any]:
    properties = schema["properties"]
    optional = set()
    for name in list(properties):
        if (other := us_name(name)) is not None:
            limits = ("minimum", "maximum")  # of the stored unit
            plain = {k: v for k, v in properties[name].items() if k not in limits}
            properties[other] = plain
            optional.add(name)
    schema["required"] = [each for each in schema.get("required", ()) if each not in optional]
    if not schema["required"]:
        del schema["required"]
    return schema


class ApiKeyScheme(OpenApiAuthenticationExtension):
    """The header with a key."""

    target_class = "inspections.api.keys.ApiKeyAuthentication"
    name = "apiKey"

    def get_security_definition(self, auto_schema: AutoSchema) -> dict[str, Any]:
        """Return how a key is sent."""
        return {
            "type": "http",
            "scheme": "bearer",
            "description": "A key from the page API keys: `Authorization: Bearer <key>`.",
        }


def without_marks(result: Any, **_kwargs: Any) -> Any:
    """Postprocessing hook: take out what only the generator's own steps read."""
    if isinstance(result, dict):
        result.pop("x-spec-enum-id", None)
        for inner in result.values():
            without_marks(inner)
    elif isinstance(result, list):
        for inner in result:
            without_marks(inner)
    return result
