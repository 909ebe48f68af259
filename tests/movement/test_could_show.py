"""Whether a later reading could have shown the fault behind an earlier one."""

import numpy as np
import pytest

from movement.errors import InputError
from movement.verdict import could_show

NAN = np.nan


def shows(residual=20.0, at_c=-10.0, set_at_c=20.0, later_c=-10.0, later_u=2.0, k=3.0) -> bool:
    """Ask of 20 mm off at 30 K below the setting, read again with an uncertainty of 2 mm."""
    return bool(could_show(residual, at_c, set_at_c, later_c, later_u, k))


@pytest.mark.parametrize("residual", [20.0, -20.0])
def test_a_reading_at_the_same_temperature_shows_it_again(residual):
    assert shows(residual=residual)


def test_a_frozen_part_does_not_show_near_its_setting_temperature():
    assert not shows(later_c=20.0)


@pytest.mark.parametrize(
    ("later_c", "shown"),
    [
        # a frozen part is off by 20 x 9 / 30 = 6 mm at 9 K from the setting, 3 u of 2 mm
        (29.0, True),
        (28.9, False),
        (11.0, True),
        (11.1, False),
    ],
)
def test_it_shows_from_where_the_fault_would_be_as_large_as_asked(later_c, shown):
    assert shows(later_c=later_c) == shown


@pytest.mark.parametrize(("later_u", "shown"), [(6.6, True), (6.7, False)])
def test_a_coarse_reading_shows_less(later_u, shown):
    # 20 mm is 3 u up to u = 6.67 mm
    assert shows(later_u=later_u) == shown


def test_what_was_off_at_the_setting_temperature_is_a_shift_and_shows_at_any():
    assert shows(at_c=20.0, later_c=35.0)
    assert shows(at_c=20.0, later_c=20.0)


@pytest.mark.parametrize("name", ["residual", "at_c", "set_at_c", "later_c", "later_u"])
def test_nothing_is_shown_where_a_number_is_not_known(name):
    assert not shows(**{name: NAN})


def test_an_uncertainty_below_zero_is_refused():
    with pytest.raises(InputError, match="later_u"):
        shows(later_u=-1.0)
