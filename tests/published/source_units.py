"""Factors to work a source's figures in its own units.

Source: NIST SP 811 (2008), B.8 and B.9; all are exact; from memory, high confidence.  They
stand here once more, apart from the ledger's unit registry, so that a check does not lean
on what it checks.
"""

MM_PER_IN = 25.4
MM_PER_FT = 304.8


def celsius(temperature_f: float) -> float:
    """Return a point of temperature in degC."""
    return (temperature_f - 32.0) / 1.8


def per_celsius(expansion_per_f: float) -> float:
    """Return a coefficient of expansion in 1/degC: one degC of change is 1.8 degF."""
    return expansion_per_f * 1.8
