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


class TemperaturePlace(models.TextChoices):
    EMBEDDED = "embedded", "Embedded sensors, area mean"
    DECK_TOP = "deck_top", "Deck top"
    DECK_SOFFIT = "deck_soffit", "Deck soffit"
    GIRDER_TOP = "girder_top", "Girder, top flange"
    GIRDER_WEB = "girder_web", "Girder, web"
    GIRDER_BOTTOM = "girder_bottom", "Girder, bottom flange"
    AIR_SHADE = "air_shade", "Air in the shade"


class TemperatureWay(models.IntegerChoices):
    NONE = 0, "None"
    EMBEDDED = 1, "Embedded or through-depth sensors"
    SURFACES = 2, "Deck and girder surfaces, weighted"
    SHADED_SURFACE = 3, "One shaded girder surface"
    AIR_HISTORY = 4, "Shade air of the preceding hours"
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
