"""How far the printing of a report is: told when something has reached its page."""

from __future__ import annotations

from collections.abc import Callable

from reportlab.platypus import Flowable

Count = Callable[[int], None]


class Tick(Flowable):
    """Takes no room; tells the progress that one more has reached the page."""

    def __init__(self, progress: Count) -> None:
        super().__init__()
        self.progress = progress

    def wrap(self, _width: float, _height: float) -> tuple[float, float]:
        """Take no room."""
        return 0.0, 0.0

    def draw(self) -> None:
        """Draw nothing; report one more."""
        self.progress(1)


def to_nobody(_count: int) -> None:
    """Tell nobody."""
