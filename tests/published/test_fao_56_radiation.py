"""FAO Irrigation and Drainage Paper 56 (1998), example 8: sun above the air on 3 September.

Extraterrestrial radiation at 20 degrees south: 32.2 MJ/m2 a day; from memory.
"""

import numpy as np
import pytest

from movement.heat_balance.sun import usual_sun_w_per_m2


def test_extraterrestrial_radiation_of_a_day_at_twenty_degrees_south():
    hour = np.arange(0.0, 24.0, 0.1)
    mean_w_per_m2 = usual_sun_w_per_m2(246, hour, -20.0, clearness=1.0).mean()
    assert mean_w_per_m2 * 86_400 / 1e6 == pytest.approx(32.2, abs=0.05)
