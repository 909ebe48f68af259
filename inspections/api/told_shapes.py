"""Shapes of what the pages tell in words: explanations of a unit, and what to measure next."""

from __future__ import annotations

from rest_framework import serializers


class ExplanationToldShape(serializers.Serializer):
    """An explanation that a diagnosis stands by; `next` is what to do about it."""

    rank = serializers.IntegerField(source="row.rank")
    beside = serializers.BooleanField(source="row.beside")
    headline = serializers.CharField()
    evidence = serializers.CharField()
    next = serializers.CharField()
    check_register = serializers.BooleanField()


class UnitToldShape(serializers.Serializer):
    """A diagnosis in words; `next` is what to do or to measure."""

    headline = serializers.CharField()
    reason = serializers.CharField()
    explanations = ExplanationToldShape(many=True)
    runner_up = serializers.CharField()
    next = serializers.ListField(child=serializers.CharField())


class ApartShape(serializers.Serializer):
    """Readings that would tell two explanations apart; `not_separable` says why none would."""

    heading = serializers.CharField()
    proposals = serializers.ListField(child=serializers.CharField())
    together = serializers.CharField()
    not_separable = serializers.CharField()


class UnitExplainedShape(serializers.Serializer):
    """A unit with what explains it, the register first, and what tells explanations apart."""

    unit = serializers.IntegerField(source="told.diagnosis.unit_id")
    unit_code = serializers.CharField(source="told.diagnosis.unit.code")
    diagnosis = serializers.IntegerField(source="told.diagnosis.pk")
    told = UnitToldShape()
    apart = ApartShape(many=True)


class BridgeExplainedShape(serializers.Serializer):
    """The units of a bridge; `usual_temperatures` says where those proposed come from."""

    units = UnitExplainedShape(many=True)
    usual_temperatures = serializers.CharField()


class BestTimeShape(serializers.Serializer):
    """A movement whose readings cannot tell yet, and when to read it next; `id` is its history.

    `by` says where the temperatures come from; it is empty where no season is proposed, which
    needs an hourly record of the air station, or a latitude and a design temperature basis.
    """

    id = serializers.IntegerField(source="history.pk")
    bridge = serializers.CharField(source="history.element.bridge.code")
    element = serializers.IntegerField(source="history.element_id")
    element_code = serializers.CharField(source="history.element.code")
    quantity = serializers.CharField(source="history.quantity")
    point = serializers.CharField(source="history.point")
    axis = serializers.CharField(source="history.axis")
    channel = serializers.CharField(source="name")
    visits = serializers.IntegerField(source="history.visits")
    when = serializers.CharField(source="best")
    narrows = serializers.CharField()
    by = serializers.CharField()
    by_rule_of_thumb = serializers.BooleanField(source="by_thumb")
    cautions = serializers.ListField(child=serializers.CharField())
