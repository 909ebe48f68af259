"""What must hold of every check of every device type, whatever the clause says."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from movement.capacity.results import quotient
from movement.errors import InputError
from tests.properties.capacity_cases import DEVICES, NAN
from tests.properties.strategies import between, steady

EACH = pytest.mark.parametrize("device", DEVICES)
# Inputs that a group of device types shares; a type that has no use for one ignores it.
SIGNED = (
    "offset",
    "rotation_along",
    "rotation_across",
    "rotation_mrad_found",
    "tilt_deg",
    "slip_mm",
)


def evaluate(device: str, **changed: object):
    checks, inputs = DEVICES[device]
    return checks(**{**inputs, **changed})


@EACH
def test_every_check_of_a_fully_known_device_is_made(device):
    for check in evaluate(device):
        assert check.cannot_check() == "", check.name
        assert np.isfinite(check.use), check.name
        assert float(check.use) == pytest.approx(float(check.demand / check.capacity)) or np.isinf(
            check.capacity
        )
        assert check.clause
        assert check.edition
        assert check.unit
        assert check.provenance


@EACH
def test_an_input_left_out_is_named_by_each_check_that_needs_it(device):
    known = evaluate(device)
    for field in DEVICES[device][1]:
        for before, after in zip(known, evaluate(device, **{field: NAN}), strict=True):
            if np.isnan(after.use):
                assert field in after.lacks(), (after.name, field)
                assert after.cannot_check().startswith("cannot check: needs "), field
            else:
                assert float(after.use) == float(before.use), (after.name, field)


@EACH
def test_an_infinite_input_is_refused_by_its_name(device):
    for field in DEVICES[device][1]:
        with pytest.raises(InputError) as refused:
            evaluate(device, **{field: np.inf})
        assert refused.value.field.split(" ")[0] in (field, field.removesuffix("_found"))


@EACH
def test_many_devices_at_once_are_as_one_by_one(device):
    rng = np.random.default_rng(7)
    inputs = DEVICES[device][1]
    many = {
        name: np.where(rng.random(8) < 0.15, NAN, value * rng.uniform(0.95, 1.05, 8))
        for name, value in inputs.items()
        if name not in ("rod_diameter_mm", "interior_layers")
    }
    together = evaluate(device, **many)
    for row in range(8):
        alone = evaluate(device, **{name: values[row] for name, values in many.items()})
        for one, all_of_them in zip(alone, together, strict=True):
            each = np.broadcast_to(all_of_them.use, (8,))[row]
            assert each == pytest.approx(float(one.use), rel=1e-12, nan_ok=True)
            if all_of_them.use.shape:
                assert all_of_them.lacks(row) == one.lacks()


@EACH
def test_the_other_way_is_as_bad(device):
    both = {"movement_back_mm": 80.0, "movement_ahead_mm": 80.0} if "sliding" in device else {}
    turned = {name: -value for name, value in DEVICES[device][1].items() if name.startswith(SIGNED)}
    for one, other in zip(
        evaluate(device, **both), evaluate(device, **both, **turned), strict=True
    ):
        assert float(one.use) == float(other.use), one.name


@EACH
@steady
@given(more=between(1.0, 4.0), by=between(1.0, 2.0))
def test_more_deformation_never_uses_less(device, more, by):
    inputs = DEVICES[device][1]
    bent = [name for name in inputs if name.startswith(SIGNED)]
    some = evaluate(device, **{name: inputs[name] * more for name in bent})
    further = evaluate(device, **{name: inputs[name] * more * by for name in bent})
    for one, other in zip(some, further, strict=True):
        if one.name == "Least stress against slip":
            continue  # the same load on less area is a greater stress, which this rule asks for
        assert float(other.use) >= float(one.use) * (1.0 - 1e-12), one.name


@steady
@given(between(0.0, 300.0), between(0.0, 50.0))
def test_a_wider_gap_uses_more_of_the_largest_opening_and_less_of_the_smallest(gap, step):
    narrow = evaluate("steel joints", gap_mm=gap)
    wide = evaluate("steel joints", gap_mm=gap + step)
    for one, other in zip(narrow, wide, strict=True):
        if one.name == "Largest opening":
            assert float(other.use) >= float(one.use)
        if one.name == "Smallest opening":
            assert float(other.use) <= float(one.use)


numbers = st.one_of(between(-100.0, 100.0), st.just(0.0), st.just(NAN))


@EACH
@steady
@given(data=st.data())
def test_use_is_unknown_just_where_something_is_missing(device, data):
    names = list(DEVICES[device][1])
    gone = data.draw(st.lists(st.sampled_from(names), max_size=4))
    zeros = data.draw(st.sampled_from([*names, ""]))
    changed = {**({zeros: 0.0} if zeros else {}), **dict.fromkeys(gone, NAN)}
    try:
        checks = evaluate(device, **changed)
    except InputError:
        return  # some inputs must be above zero
    for check in checks:
        assert np.isnan(check.use) == bool(check.lacks()), (check.name, changed)


@steady
@given(numbers, numbers)
def test_use_passes_one_just_where_demand_passes_capacity(demand, capacity):
    use = float(quotient(demand, capacity))
    if np.isnan(demand) or np.isnan(capacity):
        assert np.isnan(use)
    elif capacity > 1e-6 and abs(demand - capacity) > 1e-9:
        assert (use > 1.0) == (demand > capacity)
    elif capacity < 0.0:
        assert use == np.inf


@pytest.mark.parametrize(
    ("pressure_mpa", "temperature_c", "needs"),
    [
        (2.0, -10.0, "contact pressure of at least 3.45 MPa (0.5 ksi)"),
        (10.0, -50.0, "temperature_c within -45 to 20 degC"),
        (10.0, 25.0, "temperature_c within -45 to 20 degC"),
    ],
)
def test_friction_is_refused_outside_its_table(pressure_mpa, temperature_c, needs):
    checks = evaluate(
        "sliding",
        vertical_service_max_kn=pressure_mpa * 60.0,
        temperature_c=temperature_c,
    )
    friction = next(each for each in checks if each.name == "Friction force")
    assert friction.lacks() == (needs,)
    assert np.isnan(friction.use)
