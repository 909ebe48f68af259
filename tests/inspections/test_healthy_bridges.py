"""Bridges with nothing wrong are told of no fault, however far off their register may be."""

import pytest
from django.db import transaction

from inspections.models import UnitDiagnosis
from inspections.models.choices import DiagnosisWord
from tests.inspections.healthy_bridges import make_register, read_and_judge

pytestmark = pytest.mark.django_db
CREWS = 14


@pytest.mark.parametrize(
    ("deck_type", "source"),
    [("steel", "measured"), ("composite", "drawings"), ("concrete", "drawings")],
)
def test_hardly_a_healthy_bridge_is_told_of_a_fault(deck_type, source):
    register = make_register(31, deck_type, source)
    found = []
    for seed in range(CREWS):
        with transaction.atomic():
            read_and_judge(register, seed)
            found.append(DiagnosisWord(UnitDiagnosis.objects.get(unit=register.unit).outcome))
            # the next crew reads the same register anew
            transaction.set_rollback(True)
    assert found.count(DiagnosisWord.HEALTHY) >= CREWS - 1
    assert not {DiagnosisWord.EXPLAINED, DiagnosisWord.CANNOT_TELL} & set(found)
