"""The one error that impossible input raises."""

from __future__ import annotations


class InputError(ValueError):
    """A value that cannot be right, with the field it stands in and the remedy.

    Parameters
    ----------
    field : str
        Name of the argument, unit included (``"gap_mm"``).
    message : str
        What is wrong: the value and the rule.
    remedy : str
        What to do about it.
    """

    def __init__(self, field: str, message: str, remedy: str) -> None:
        super().__init__(f"{field}: {message}. {remedy}")
        self.field = field
        self.message = message
        self.remedy = remedy
