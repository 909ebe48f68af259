"""Words of visits and readings."""

from django.db import models


class InspectionKind(models.TextChoices):
    ROUTINE = "routine", "Routine"
    IN_DEPTH = "in_depth", "In-depth"
    EVENT = "event", "After an event"
    FOLLOW_UP = "follow_up", "Follow-up"


class InspectionState(models.TextChoices):
    OPEN = "open", "Open"
    SUBMITTED = "submitted", "Handed in"
    ACCEPTED = "accepted", "Accepted"


class Weather(models.TextChoices):
    CLEAR = "clear", "Clear"
    PARTLY = "partly", "Partly cloudy"
    OVERCAST = "overcast", "Overcast"
    RAIN = "rain", "Rain"
    SNOW = "snow", "Snow or ice"
    FOG = "fog", "Fog"
    NIGHT = "night", "Night"
    UNKNOWN = "unknown", "Not recorded"


class ReadingQuantity(models.TextChoices):
    GAP = "gap", "Joint gap"
    OFFSET_ALONG = "offset_along", "Offset along"
    OFFSET_ACROSS = "offset_across", "Offset across"
    TILT = "tilt", "Tilt"
    ROTATION = "rotation", "Rotation"
    KEY_GAP = "key_gap", "Key gap"
    PROJECTION = "projection", "Rod projection"
    SLIP = "slip", "Slip"
    ROD_TENSION = "rod_tension", "Rod tension"
    BROKEN_RODS = "broken_rods", "Broken rods"
    SLIDING_GAP = "sliding_gap", "Sliding gap"
    PLATE_OVERLAP = "plate_overlap", "Sliding plate beyond the sheet"
    BULGE = "bulge", "Bulge"


class TemperaturePlace(models.TextChoices):
    EMBEDDED = "embedded", "Embedded sensors, area mean"
    DECK_TOP = "deck_top", "Deck top"
    DECK_SOFFIT = "deck_soffit", "Deck soffit"
    GIRDER_TOP = "girder_top", "Girder, top flange"
    GIRDER_WEB = "girder_web", "Girder, web"
    GIRDER_BOTTOM = "girder_bottom", "Girder, bottom flange"
    AIR_SHADE = "air_shade", "Air in the shade"


class TemperatureWay(models.IntegerChoices):
    """How an effective temperature was got, best first; see :class:`movement.temperature.Way`."""

    NONE = 0, "None"
    EMBEDDED = 1, "Embedded or through-depth sensors"
    SURFACES = 2, "Deck and girder surfaces, weighted"
    SHADED_SURFACE = 3, "One shaded girder surface"
    HEAT_BALANCE = 6, "Heat balance of the section, from air and sun of the station"
    HEAT_BALANCE_AIR = 7, "Heat balance of the section, from air of the station"
    HEAT_BALANCE_DAYS = 8, "Heat balance of the section, from daily extremes of the station"
    AIR_HISTORY = 4, "Mean shade air of the preceding 24 or 48 hours"
    SHADE_AIR = 5, "One shade air temperature"


class VerdictWord(models.IntegerChoices):
    CANNOT_JUDGE = 0, "Cannot judge"
    IN_RANGE = 1, "In range"
    WATCH = 2, "Watch"
    OUT_OF_RANGE = 3, "Out of range"


class SettingFrom(models.TextChoices):
    MEASURED = "measured", "measured when set"
    DRAWINGS = "drawings", "from drawings"
    BASELINE = "baseline", "first accepted reading"
    NONE = "", "not known"


class ResponseWord(models.IntegerChoices):
    """How an element follows the temperature; values of :class:`movement.history.Response`."""

    NOT_ENOUGH_INFORMATION = 0, "Not enough information"
    FREE = 1, "Free"
    SLUGGISH = 2, "Sluggish"
    SLUGGISH_OR_FROZEN = 3, "Sluggish or frozen"
    FROZEN = 4, "Frozen"
    WRONG_SIGN = 5, "Moves the wrong way"
    MORE_THAN_FREE = 6, "Moves more than expected"


class DiagnosisWord(models.IntegerChoices):
    """What can be said of a unit; values of :class:`movement.whole_bridge.Outcome`."""

    NOT_ENOUGH = 0, "Not enough information"
    HEALTHY = 1, "Nothing found"
    EXPLAINED = 2, "Explained"
    CANNOT_TELL = 3, "Cannot tell: several fit equally well"


class CauseWord(models.IntegerChoices):
    """What can explain the readings of a unit; values of :class:`movement.whole_bridge.Cause`."""

    HEALTHY = 0, "Nothing wrong"
    FROZEN = 1, "Frozen bearing"
    SLUGGISH = 2, "Sluggish bearing"
    SUPPORT_MOVED = 3, "Support moved"
    SHORTENING = 4, "Deck has shortened"
    WRONG_TEMPERATURE = 5, "Wrong temperature in one visit"
    BLUNDER = 6, "Blunder in one reading"
    STEP = 7, "Step at one element"
    FIXED_POINT = 8, "Register: fixed point elsewhere"
    SIGN = 9, "Register: sign of the movement"
    COEFFICIENT = 10, "Register: coefficient of expansion"
    SETTING_OFF = 11, "Register: setting position"


class CheckFamily(models.TextChoices):
    """Which family of rules a check of capacity belongs to."""

    AASHTO = "aashto", "AASHTO"
    EN = "en", "EN"
    OTHER = "other", "Other rules"
    DESIGN = "design", "The device's own design figures"


class CheckMoment(models.TextChoices):
    """Which position a check of capacity speaks of."""

    NOW = "now", "as found"
    AT_MIN = "at_min", "carried to the lowest design temperature"
    AT_MAX = "at_max", "carried to the highest design temperature"


class RaisedBy(models.TextChoices):
    """What beside its own last reading made an element's status worse."""

    READING = "", "Its reading"
    HISTORY = "history", "Its history"
    UNIT = "unit", "The readings of its whole unit"


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


class DefectCode(models.IntegerChoices):
    """Defects of bearings, joints and their hardware by AASHTO element numbers; 0: overall.

    Numbers and names: AASHTO Manual for Bridge Element Inspection, 2nd ed. (2019), read in a copy.
    """

    OVERALL = 0, "The element as a whole"
    CORROSION = 1000, "Corrosion"
    CONNECTION = 1020, "Connection"
    MOVEMENT = 2210, "Movement"
    ALIGNMENT = 2220, "Alignment"
    BULGING = 2230, "Bulging, splitting or tearing"
    LOSS_OF_AREA = 2240, "Loss of bearing area"
    LEAKAGE = 2310, "Leakage"
    SEAL_ADHESION = 2320, "Seal adhesion"
    SEAL_DAMAGE = 2330, "Seal damage"
    SEAL_CRACKING = 2340, "Seal cracking"
    DEBRIS = 2350, "Debris impaction"
    ADJACENT_DECK = 2360, "Adjacent deck or header"
    METAL = 2370, "Metal deterioration or damage"
    DAMAGE = 7000, "Damage"


class LeftOutReason(models.TextChoices):
    NO_ACCESS = "no_access", "Could not be reached"
    UNSAFE = "unsafe", "Not safe to approach"
    COVERED = "covered", "Covered by debris, ice or formwork"
    INSTRUMENT = "instrument", "No instrument for it"
    NO_TIME = "no_time", "No time left"
    OTHER = "other", "Another reason"
