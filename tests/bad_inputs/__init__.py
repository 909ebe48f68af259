"""Bad input by every way in: refused with a reason, or taken whole."""

import os

VARIABLE = "LEDGER_BAD_INPUTS"
"""How many inputs to try; a few unless ``python -m tests.bad_inputs`` says so."""
EXAMPLES = int(os.environ.get(VARIABLE, "500"))
