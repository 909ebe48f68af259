"""Which device stood at a place on a day."""

import datetime as dt
from collections.abc import Iterable

from inventory.models import Installation


def device_on(installations: Iterable[Installation], day: dt.date) -> Installation | None:
    """Return the one of a place's installations that stood there on a day, if any did.

    On the day of a replacement or reset it is the new one.
    """
    return next(
        (
            row
            for row in installations
            if row.installed_on <= day and (row.removed_on is None or day < row.removed_on)
        ),
        None,
    )
