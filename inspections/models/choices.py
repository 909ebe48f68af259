"""Words of visits and readings."""

from django.db import models
from django.utils.translation import gettext_noop as _

from inventory.words import TextWords, WholeWords


class InspectionKind(TextWords):
    ROUTINE = "routine", _("Routine")
    IN_DEPTH = "in_depth", _("In-depth")
    EVENT = "event", _("After an event")
    FOLLOW_UP = "follow_up", _("Follow-up")


class InspectionState(TextWords):
    OPEN = "open", _("Open")
    SUBMITTED = "submitted", _("Handed in")
    ACCEPTED = "accepted", _("Accepted")


class Weather(TextWords):
    CLEAR = "clear", _("Clear")
    PARTLY = "partly", _("Partly cloudy")
    OVERCAST = "overcast", _("Overcast")
    RAIN = "rain", _("Rain")
    SNOW = "snow", _("Snow or ice")
    FOG = "fog", _("Fog")
    NIGHT = "night", _("Night")
    UNKNOWN = "unknown", _("Not recorded")


class ReadingQuantity(TextWords):
    GAP = "gap", _("Joint gap")
    OFFSET_ALONG = "offset_along", _("Offset along")
    OFFSET_ACROSS = "offset_across", _("Offset across")
    TILT = "tilt", _("Tilt")
    ROTATION = "rotation", _("Rotation")
    KEY_GAP = "key_gap", _("Key gap")
    SLACK = "slack", _("Slack")
    PROJECTION = "projection", _("Rod projection")
    SLIP = "slip", _("Slip")
    ROD_TENSION = "rod_tension", _("Rod tension")
    BROKEN_RODS = "broken_rods", _("Broken rods")
    SLIDING_GAP = "sliding_gap", _("Sliding gap")
    PLATE_OVERLAP = "plate_overlap", _("Sliding plate beyond the sheet")
    BULGE = "bulge", _("Bulge")
    LEVEL_STEP = "level_step", _("Level difference")


ROOM_ON_A_SIDE = (ReadingQuantity.KEY_GAP, ReadingQuantity.SLACK)
"""How far a restraint lets the deck go towards each side before it holds it."""


class TemperaturePlace(TextWords):
    EMBEDDED = "embedded", _("Embedded sensors, area mean")
    DECK_TOP = "deck_top", _("Deck top")
    DECK_SOFFIT = "deck_soffit", _("Deck soffit")
    GIRDER_TOP = "girder_top", _("Girder, top flange")
    GIRDER_WEB = "girder_web", _("Girder, web")
    GIRDER_BOTTOM = "girder_bottom", _("Girder, bottom flange")
    AIR_SHADE = "air_shade", _("Air in the shade")


class TemperatureWay(WholeWords):
    """How an effective temperature was got, best first; see :class:`movement.temperature.Way`."""

    NONE = 0, _("None")
    EMBEDDED = 1, _("Embedded or through-depth sensors")
    SURFACES = 2, _("Deck and girder surfaces, weighted")
    SHADED_SURFACE = 3, _("One shaded girder surface")
    HEAT_BALANCE = 6, _("Heat balance of the section, from air and sun of the station")
    HEAT_BALANCE_AIR = 7, _("Heat balance of the section, from air of the station")
    HEAT_BALANCE_DAYS = 8, _("Heat balance of the section, from daily extremes of the station")
    AIR_HISTORY = 4, _("Mean shade air of the preceding 24 or 48 hours")
    SHADE_AIR = 5, _("One shade air temperature")


class VerdictWord(WholeWords):
    CANNOT_JUDGE = 0, _("Cannot judge")
    IN_RANGE = 1, _("In range")
    WATCH = 2, _("Watch")
    OUT_OF_RANGE = 3, _("Out of range")


class SettingFrom(TextWords):
    MEASURED = "measured", _("measured when set")
    DRAWINGS = "drawings", _("from drawings")
    BASELINE = "baseline", _("first accepted reading")
    NONE = "", _("not known")


class ResponseWord(WholeWords):
    """How an element follows the temperature; values of :class:`movement.history.Response`."""

    NOT_ENOUGH_INFORMATION = 0, _("Not enough information")
    FREE = 1, _("Free")
    SLUGGISH = 2, _("Sluggish")
    SLUGGISH_OR_FROZEN = 3, _("Sluggish or frozen")
    FROZEN = 4, _("Frozen")
    WRONG_SIGN = 5, _("Moves the wrong way")
    MORE_THAN_FREE = 6, _("Moves more than expected")


class DiagnosisWord(WholeWords):
    """What can be said of a unit; values of :class:`movement.whole_bridge.Outcome`."""

    NOT_ENOUGH = 0, _("Not enough information")
    HEALTHY = 1, _("Nothing found")
    EXPLAINED = 2, _("Explained")
    CANNOT_TELL = 3, _("Cannot tell: several fit equally well")


class CauseWord(WholeWords):
    """What can explain the readings of a unit; values of :class:`movement.whole_bridge.Cause`."""

    HEALTHY = 0, _("Nothing wrong")
    FROZEN = 1, _("Frozen bearing")
    SLUGGISH = 2, _("Sluggish bearing")
    SUPPORT_MOVED = 3, _("Support moved")
    SHORTENING = 4, _("Deck has shortened")
    WRONG_TEMPERATURE = 5, _("Wrong temperature in one visit")
    BLUNDER = 6, _("Blunder in one reading")
    STEP = 7, _("Step at one element")
    FIXED_POINT = 8, _("Register: fixed point elsewhere")
    SIGN = 9, _("Register: sign of the movement")
    COEFFICIENT = 10, _("Register: coefficient of expansion")
    SETTING_OFF = 11, _("Register: setting position")


class CheckFamily(TextWords):
    """Which family of rules a check of capacity belongs to."""

    AASHTO = "aashto", "AASHTO"
    EN = "en", "EN"
    OTHER = "other", _("Other rules")
    DESIGN = "design", _("The device's own design figures")


class CheckMoment(TextWords):
    """Which position a check of capacity speaks of."""

    NOW = "now", _("as found")
    AT_MIN = "at_min", _("carried to the lowest design temperature")
    AT_MAX = "at_max", _("carried to the highest design temperature")


class RaisedBy(TextWords):
    """What beside its own last reading made an element's status worse."""

    READING = "", _("Its reading")
    HISTORY = "history", _("Its history")
    UNIT = "unit", _("The readings of its whole unit")


class RecordKind(models.TextChoices):
    """What a tablet sends."""

    READING = "reading", "Reading"
    TEMPERATURE = "temperature", "Temperature"
    CONDITION = "condition", "Condition"
    NOTE = "note", "Note"
    CRITICAL = "critical", "Critical finding"
    LEFT_OUT = "left_out", "Left out"
    PHOTO = "photo", "Photo"
    SIGN_OFF = "sign_off", "Signature"


class DefectCode(WholeWords):
    """Defects of bearings, joints and their hardware by AASHTO element numbers; 0: overall.

    Numbers and names: AASHTO Manual for Bridge Element Inspection, 2nd ed. (2019), read in a copy.
    """

    OVERALL = 0, _("The element as a whole")
    CORROSION = 1000, _("Corrosion")
    CONNECTION = 1020, _("Connection")
    MOVEMENT = 2210, _("Movement")
    ALIGNMENT = 2220, _("Alignment")
    BULGING = 2230, _("Bulging, splitting or tearing")
    LOSS_OF_AREA = 2240, _("Loss of bearing area")
    LEAKAGE = 2310, _("Leakage")
    SEAL_ADHESION = 2320, _("Seal adhesion")
    SEAL_DAMAGE = 2330, _("Seal damage")
    SEAL_CRACKING = 2340, _("Seal cracking")
    DEBRIS = 2350, _("Debris impaction")
    ADJACENT_DECK = 2360, _("Adjacent deck or header")
    METAL = 2370, _("Metal deterioration or damage")
    DAMAGE = 7000, _("Damage")


class LeftOutReason(TextWords):
    NO_ACCESS = "no_access", _("Could not be reached")
    UNSAFE = "unsafe", _("Not safe to approach")
    COVERED = "covered", _("Covered by debris, ice or formwork")
    INSTRUMENT = "instrument", _("No instrument for it")
    NO_TIME = "no_time", _("No time left")
    OTHER = "other", _("Another reason")
