"""Accuracy of usual instruments; from memory.  Thermocouples: ASTM E230."""

import pytest

from movement.expected import expected_line
from movement.inputs import Setting, Sides
from movement.instruments import ACCURACY_MM, Thermometer, thermometer_accuracy_k
from movement.uncertainty import from_accuracy


@pytest.mark.parametrize(
    ("instrument", "u_mm"),
    # +-0.05, +-0.05 (0.02 to 0.05), +-1, +-1.5 mm (1 to 1.5), each over the root of 3
    [("feeler gauge", 0.0289), ("vernier calliper", 0.0289), ("tape", 0.577), ("laser", 0.866)],
)
def test_what_a_length_is_known_to(instrument, u_mm):
    assert float(from_accuracy(ACCURACY_MM[instrument])) == pytest.approx(u_mm, abs=0.0005)


@pytest.mark.parametrize(
    ("thermometer", "at_c", "accuracy_k"),
    [
        (Thermometer.TYPE_T, 30.0, 1.0),
        (Thermometer.TYPE_T, -160.0, 1.2),  # 0.75 %
        (Thermometer.TYPE_T_SPECIAL, 30.0, 0.5),  # half
        (Thermometer.TYPE_T_SPECIAL, -160.0, 0.6),
        (Thermometer.TYPE_K, -30.0, 2.2),
        (Thermometer.TYPE_K_SPECIAL, 30.0, 1.1),
        (Thermometer.INFRARED, 30.0, 2.0),
        (Thermometer.INFRARED, 150.0, 3.0),  # 2 %
    ],
)
def test_what_a_temperature_is_known_to(thermometer, at_c, accuracy_k):
    assert float(thermometer_accuracy_k(thermometer, at_c)) == pytest.approx(accuracy_k)


def test_a_thermocouple_of_type_k_on_a_hundred_metres_of_steel():
    # 2.2 / sqrt(3) = 1.27 K: 1.17 mm/K (read: alpha) x 1.27 = 1.486 mm
    line = expected_line(Sides.of(100e3, 11.7e-6), Setting.of(0.0, 15.0))
    u_k = float(from_accuracy(thermometer_accuracy_k(Thermometer.TYPE_K, 30.0)))
    assert float(line.standard_uncertainty(30.0, u_k)) == pytest.approx(1.486, abs=0.0005)
