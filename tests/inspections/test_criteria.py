"""The criteria at hand say the same limits as the computed states.

Source: AASHTO Manual for Bridge Element Inspection, 2nd ed. (2019), read in a copy.
"""

import pytest

from inspections.criteria import CRITERIA
from inspections.models.choices import DefectCode
from movement import condition_states as states


@pytest.mark.parametrize(
    ("defect", "limit"),
    [
        (DefectCode.BULGING, f"{states.BULGE_SHARE:.0%}".replace("%", " %")),
        (DefectCode.ADJACENT_DECK, f"{states.SPALL_DEPTH_IN:g} in"),
        (DefectCode.ADJACENT_DECK, f"{states.SPALL_DIAMETER_IN:g} in"),
    ],
)
def test_a_limit_stands_in_the_words(defect, limit):
    assert limit in " ".join(CRITERIA[defect])


def test_any_split_is_poor_and_a_missing_bolt_too():
    assert "split" in CRITERIA[DefectCode.BULGING][2]
    assert "split" not in CRITERIA[DefectCode.BULGING][1]
    assert "missing" in CRITERIA[DefectCode.CONNECTION][2]


@pytest.mark.parametrize("defect", DefectCode)
def test_four_states_are_told_apart(defect):
    assert len(set(CRITERIA[defect])) == 4
