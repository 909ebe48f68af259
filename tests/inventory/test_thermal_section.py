"""The recorded section of a unit becomes layers; usual figures stand for what is empty."""

import pytest

from inventory.thermal_section import layers_of
from movement.heat_balance.sections import composite_girders, concrete_girders, cut
from tests.make import make_bridge, make_section, make_unit

pytestmark = pytest.mark.django_db


def test_a_section_with_every_size_given_is_built_of_them():
    section = make_section(
        make_unit(make_bridge(), deck_type="concrete"), depth_mm=1500.0, surfacing_mm=80.0,
        slab_mm=250.0, girder_spacing_mm=2400.0, web_mm=600.0,
    )  # fmt: skip
    assert layers_of(section) == concrete_girders(1.5, 0.08, 2.4, 0.6, 0.25)


def test_a_composite_depth_is_that_of_slab_and_girder():
    section = make_section(
        make_unit(make_bridge()), depth_mm=2000.0, slab_mm=300.0, girder_steel_mm2=60_000.0
    )
    assert layers_of(section) == composite_girders(1.7, 0.06, 0.1, 3.0, 0.3)


def test_a_bare_deck_has_no_surfacing():
    section = make_section(make_unit(make_bridge()), surfacing_mm=0.0)
    assert layers_of(section)[0].material.alpha_e_mpa_per_k > 0


@pytest.mark.parametrize("depth_mm", [300.0, 500.0, 3000.0, 9000.0])
@pytest.mark.parametrize(
    ("deck_type", "form"),
    [
        ("concrete", "slab"),
        ("concrete", "concrete_girders"),
        ("concrete", "concrete_box"),
        ("composite", "composite_girders"),
        ("steel", "steel_box"),
    ],
)
def test_a_depth_alone_makes_a_section_that_stores_more_the_deeper_it_is(deck_type, form, depth_mm):
    unit = make_unit(make_bridge(), deck_type=deck_type)
    section = make_section(unit, section_form=form, depth_mm=depth_mm)
    stored = cut([layers_of(section)]).capacity.sum()
    section.depth_mm *= 1.2
    assert cut([layers_of(section)]).capacity.sum() >= stored
