"""Stress of prestressing strand while it is jacked."""

from __future__ import annotations

from numpy.typing import ArrayLike

from movement.capacity.results import Check, Provenance, Rule, compare
from movement.checks import at_most_or_missing

YIELD_SHARE = 0.90  # f_py of low-relaxation strand as a share of f_pu, Table 5.4.4.1-1; memory
JACKING_SHARE_OF_YIELD = 0.90  # 5.9.2.2; from memory


def jacking_stress(jacked_to: ArrayLike) -> Check:
    """Stress of low-relaxation strand at the jack against 0.90 f_py, as shares of f_pu."""
    share = at_most_or_missing("jacked_to", jacked_to, 1.0, "Give a share of the strength.")
    return compare(
        Rule("Jacking stress", "5.9.2.2", "AASHTO LRFD, 9th ed. (2020)", "-", Provenance.MEMORY),
        share,
        JACKING_SHARE_OF_YIELD * YIELD_SHARE,
        {"jacked_to": share},
    )
