"""Words of the engineer's desk: flags, decisions, plans, events, options and work."""

from django.db import models
from django.utils.translation import gettext_noop as _

from inventory.words import TextWords


class FlagCause(models.TextChoices):
    """What a flag is about; sightings of the same cause at an element are one flag."""

    POSITION = "position", "Away from its expected position"
    LIMIT = "limit", "Near or past a limit"
    RESPONSE = "response", "Does not follow the temperature"
    CONDITION = "condition", "In condition state 4"
    CRITICAL = "critical", "Critical finding"


class FlagState(models.TextChoices):
    """Where a flag stands on its way from seen to mended."""

    OPEN = "open", "To decide"
    BACK = "back", "Back in range, to be confirmed"
    TO_MEASURE = "to_measure", "To be measured again"
    WATCHED = "watched", "Watched"
    ACCEPTED = "accepted", "Accepted for a time"
    IN_WORK = "in_work", "Work ordered"
    MENDED = "mended", "Mended, not yet proved"
    CLOSED = "closed", "Closed"
    WITHDRAWN = "withdrawn", "Withdrawn: no reading shows it any more"


class DecisionKind(models.TextChoices):
    ACCEPT = "accept", "Accept until a day"
    WATCH = "watch", "Watch at a shorter interval"
    MEASURE_AGAIN = "measure_again", "Measure again"
    WORK_ORDERED = "work_ordered", "Work ordered"
    MENDED = "mended", "Mended"
    CLOSE = "close", "Close"


class DueReason(models.TextChoices):
    """Why a visit is due."""

    ROUTINE = "routine", "Routine interval"
    IN_DEPTH = "in_depth", "In-depth interval"
    EVENT = "event", "After an event"
    WATCH = "watch", "Watched element"
    MEASURE_AGAIN = "measure_again", "To be measured again"
    PROVING = "proving", "Proving measurement"
    ACCEPTANCE = "acceptance", "Acceptance ends"


class EventKind(TextWords):
    EARTHQUAKE = "earthquake", _("Earthquake")
    VEHICLE_IMPACT = "vehicle_impact", _("Vehicle impact")
    VESSEL_IMPACT = "vessel_impact", _("Vessel impact")
    FLOOD = "flood", _("Flood")
    HEAT_WAVE = "heat_wave", _("Heat wave")
    OTHER = "other", _("Other event")


class CriterionKind(models.TextChoices):
    """What alternatives are held against; the owner chooses which."""

    LOAD_PATH = "load_path", "Load path"
    CONSTRUCTABILITY = "constructability", "Constructability"
    ACCESS = "access", "Access"
    REPLACEABLE = "replaceable", "What stays replaceable"
    TRAFFIC = "traffic", "Traffic"
    TIME = "time", "Time"
    COST = "cost", "Cost"
    RISK = "risk", "Risk"
    OWN = "own", "The owner's own"


class WorkKind(models.TextChoices):
    REPAIR = "repair", "Repair"
    RESET = "reset", "Reset to a new position"
    REPLACEMENT = "replacement", "Replacement"


class WorkState(models.TextChoices):
    ORDERED = "ordered", "Ordered"
    BEGUN = "begun", "Begun"
    FINISHED = "finished", "Finished"
    CANCELLED = "cancelled", "Cancelled"
