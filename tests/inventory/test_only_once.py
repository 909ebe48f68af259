"""What may stand only once in a table, such as a code, is refused a second time, twice over."""

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from tests.rows import valid_row

pytestmark = pytest.mark.django_db

ALONE = [
    pytest.param(model, field.name, id=f"{model.__name__}-{field.name}")
    for label in ("inventory", "inspections")
    for model in apps.get_app_config(label).get_models()
    if not model.__name__.startswith("Historical")
    for field in model._meta.concrete_fields
    if field.unique and not field.primary_key
]


@pytest.mark.parametrize(("model", "name"), ALONE)
def test_what_may_stand_only_once_is_told_at_its_field(model, name):
    first, second = valid_row(model), valid_row(model)
    setattr(second, name, getattr(first, name))
    with pytest.raises(ValidationError) as refusal:
        second.full_clean()
    assert "already exists" in refusal.value.message_dict[name][0]


@pytest.mark.parametrize(("model", "name"), ALONE)
def test_what_may_stand_only_once_is_refused_a_second_time_by_the_database(model, name):
    first, second = valid_row(model), valid_row(model)
    with pytest.raises(IntegrityError, match=r"(?i)unique"), transaction.atomic():
        model.objects.filter(pk=second.pk).update(**{name: getattr(first, name)})
