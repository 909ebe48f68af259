"""Words of the engineer's desk: flags, decisions, plans, events, options and work."""

from django.utils.translation import gettext_noop as _

from inventory.words import TextWords


class FlagCause(TextWords):
    """What a flag is about; sightings of the same cause at an element are one flag."""

    POSITION = "position", _("Away from its expected position")
    LIMIT = "limit", _("Near or past a limit")
    RESPONSE = "response", _("Does not follow the temperature")
    CONDITION = "condition", _("In condition state 4")
    CRITICAL = "critical", _("Critical finding")


class FlagState(TextWords):
    """Where a flag stands on its way from seen to mended."""

    OPEN = "open", _("To decide")
    BACK = "back", _("Back in range, to be confirmed")
    TO_MEASURE = "to_measure", _("To be measured again")
    WATCHED = "watched", _("Watched")
    ACCEPTED = "accepted", _("Accepted for a time")
    IN_WORK = "in_work", _("Work ordered")
    MENDED = "mended", _("Mended, not yet proved")
    CLOSED = "closed", _("Closed")
    WITHDRAWN = "withdrawn", _("Withdrawn: no reading shows it any more")


class DecisionKind(TextWords):
    ACCEPT = "accept", _("Accept until a day")
    WATCH = "watch", _("Watch at a shorter interval")
    MEASURE_AGAIN = "measure_again", _("Measure again")
    WORK_ORDERED = "work_ordered", _("Work ordered")
    MENDED = "mended", _("Mended")
    CLOSE = "close", _("Close")


class DueReason(TextWords):
    """Why a visit is due."""

    ROUTINE = "routine", _("Routine interval")
    IN_DEPTH = "in_depth", _("In-depth interval")
    EVENT = "event", _("After an event")
    WATCH = "watch", _("Watched element")
    MEASURE_AGAIN = "measure_again", _("To be measured again")
    PROVING = "proving", _("Proving measurement")
    ACCEPTANCE = "acceptance", _("Acceptance ends")


class EventKind(TextWords):
    EARTHQUAKE = "earthquake", _("Earthquake")
    VEHICLE_IMPACT = "vehicle_impact", _("Vehicle impact")
    VESSEL_IMPACT = "vessel_impact", _("Vessel impact")
    FLOOD = "flood", _("Flood")
    HEAT_WAVE = "heat_wave", _("Heat wave")
    OTHER = "other", _("Other event")


class CriterionKind(TextWords):
    """What alternatives are held against; the owner chooses which."""

    LOAD_PATH = "load_path", _("Load path")
    CONSTRUCTABILITY = "constructability", _("Constructability")
    ACCESS = "access", _("Access")
    REPLACEABLE = "replaceable", _("What stays replaceable")
    TRAFFIC = "traffic", _("Traffic")
    TIME = "time", _("Time")
    COST = "cost", _("Cost")
    RISK = "risk", _("Risk")
    OWN = "own", _("The owner's own")


class WorkKind(TextWords):
    REPAIR = "repair", _("Repair")
    RESET = "reset", _("Reset to a new position")
    REPLACEMENT = "replacement", _("Replacement")


class WorkState(TextWords):
    ORDERED = "ordered", _("Ordered")
    BEGUN = "begun", _("Begun")
    FINISHED = "finished", _("Finished")
    CANCELLED = "cancelled", _("Cancelled")


RUNNING = (WorkState.ORDERED, WorkState.BEGUN)
"""States of an order that is still to be finished."""
