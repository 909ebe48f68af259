"""Words of the trade that the register chooses from."""

from django.db import models


class DeckType(models.TextChoices):
    STEEL = "steel", "Steel deck and girders (type 1)"
    COMPOSITE = "composite", "Concrete deck on steel girders (type 2)"
    CONCRETE = "concrete", "Concrete (type 3)"


class ElementKind(models.TextChoices):
    BEARING = "bearing", "Bearing"
    JOINT = "joint", "Deck joint"
    RESTRAINT = "restraint", "Restraint"


class DeviceType(models.TextChoices):
    PLAIN_ELASTOMERIC = "plain_elastomeric", "Plain elastomeric bearing"
    REINFORCED_ELASTOMERIC = "reinforced_elastomeric", "Steel-reinforced elastomeric bearing"
    FLAT_SLIDING = "flat_sliding", "Flat sliding bearing"
    POT = "pot", "Pot bearing"
    DISC = "disc", "Disc bearing"
    SPHERICAL = "spherical", "Spherical bearing"
    ROCKER = "rocker", "Rocker bearing"
    ROLLER = "roller", "Roller bearing"
    FIXED_PIN = "fixed_pin", "Fixed pin bearing"
    OTHER_BEARING = "other_bearing", "Other bearing"
    STRIP_SEAL = "strip_seal", "Strip seal joint"
    COMPRESSION_SEAL = "compression_seal", "Compression seal joint"
    POURED = "poured", "Poured joint"
    MODULAR = "modular", "Modular joint"
    FINGER = "finger", "Finger joint"
    SLIDING_PLATE = "sliding_plate", "Sliding plate joint"
    PLUG = "plug", "Plug joint"
    OPEN = "open", "Open joint"
    OTHER_JOINT = "other_joint", "Other joint"
    SHEAR_KEY = "shear_key", "Shear key"
    HOLD_DOWN = "hold_down", "Hold-down"
    ANCHOR_RODS = "anchor_rods", "Anchor rod group"
    CLAMP = "clamp", "Clamp"
    LOCK_UP = "lock_up", "Lock-up device"


_BEARINGS = list(DeviceType)[:10]
_JOINTS = list(DeviceType)[10:19]
_RESTRAINTS = list(DeviceType)[19:]
KIND_OF_DEVICE = {
    **dict.fromkeys(_BEARINGS, ElementKind.BEARING),
    **dict.fromkeys(_JOINTS, ElementKind.JOINT),
    **dict.fromkeys(_RESTRAINTS, ElementKind.RESTRAINT),
}
DEVICES_OF_KIND = {
    kind: [device for device, its in KIND_OF_DEVICE.items() if its == kind] for kind in ElementKind
}


class SupportKind(models.TextChoices):
    ABUTMENT = "abutment", "Abutment"
    PIER = "pier", "Pier"
    HINGE = "hinge", "In-span hinge"


class GapAxis(models.TextChoices):
    SQUARE = "square", "Square to the joint"
    ROAD = "road", "Along the road"


class SettingSource(models.TextChoices):
    MEASURED = "measured", "Measured when set"
    DRAWINGS = "drawings", "From drawings"
    UNKNOWN = "unknown", "Not known: the first accepted reading is the baseline"


class EndReason(models.TextChoices):
    REPLACED = "replaced", "Replaced"
    RESET = "reset", "Reset to a new position"


class Access(models.TextChoices):
    GROUND = "ground", "From the ground or a bench"
    LADDER = "ladder", "Ladder"
    LIFT = "lift", "Aerial lift"
    UNDERBRIDGE = "underbridge", "Under-bridge unit from the deck"
    INSIDE = "inside", "From inside the box"
    ROPE = "rope", "Rope access"
    BOAT = "boat", "Boat or barge"
    DECK = "deck", "From the deck under traffic control"
    ENCLOSED = "enclosed", "Enclosed: not open to a close look"
    UNKNOWN = "unknown", "Not known"


class Replaceable(models.TextChoices):
    YES = "yes", "Yes, in service"
    CLOSURE = "closure", "Only with the bridge closed"
    NO = "no", "No"
    UNKNOWN = "unknown", "Not known"


class BasisMethod(models.TextChoices):
    AASHTO_A = "aashto_a", "AASHTO LRFD 3.12.2, procedure A"
    AASHTO_B = "aashto_b", "AASHTO LRFD 3.12.2, procedure B, read off its maps"
    EN_1991_1_5 = "en_1991_1_5", "EN 1991-1-5, 6.1.3"
    STATION = "station", "Yearly extremes of the air station, then EN 1991-1-5, 6.1.3"
    ENTERED = "entered", "Entered figures with their source"


class Climate(models.TextChoices):
    MODERATE = "moderate", "Moderate (fewer than 14 freezing days a year)"
    COLD = "cold", "Cold"


class SurfacingRule(models.TextChoices):
    UK_NA = "uk_na", "UK national annex to EN 1991-1-5, Table NA.1"


class CementClass(models.TextChoices):
    SLOW = "S", "S, slow"
    NORMAL = "N", "N, normal"
    RAPID = "R", "R, rapid"


class ShorteningRule(models.TextChoices):
    AASHTO_2015 = "aashto_2015", "AASHTO LRFD 5.4.2.3, from the 2015 interim revisions on"
    AASHTO_2007 = "aashto_2007", "AASHTO LRFD 5.4.2.3, 2007 to 2014"
    EN_2004 = "en_2004", "EN 1992-1-1:2004, 3.1.4 and Annex B"


class SectionForm(models.TextChoices):
    SLAB = "slab", "Concrete slab"
    CONCRETE_GIRDERS = "concrete_girders", "Concrete slab on concrete girders"
    CONCRETE_BOX = "concrete_box", "Concrete box"
    COMPOSITE_GIRDERS = "composite_girders", "Concrete slab on steel girders"
    STEEL_BOX = "steel_box", "Steel box with a steel deck"


DECK_OF_SECTION = {
    SectionForm.SLAB: DeckType.CONCRETE,
    SectionForm.CONCRETE_GIRDERS: DeckType.CONCRETE,
    SectionForm.CONCRETE_BOX: DeckType.CONCRETE,
    SectionForm.COMPOSITE_GIRDERS: DeckType.COMPOSITE,
    SectionForm.STEEL_BOX: DeckType.STEEL,
}


class PtfeKind(models.TextChoices):
    UNCONFINED_UNFILLED = "unconfined_unfilled", "Unfilled sheet, not recessed"
    CONFINED_UNFILLED = "confined_unfilled", "Unfilled sheet, recessed"
    FILLED = "filled", "Filled sheet"
    WOVEN_ON_METAL = "woven_on_metal", "Woven fibre over a metal substrate"
    REINFORCED_WOVEN = "reinforced_woven", "Reinforced woven fibre"


class SlidingSurfaceKind(models.TextChoices):
    DIMPLED_LUBRICATED = "dimpled_lubricated", "Dimpled and lubricated"
    UNFILLED = "unfilled", "Unfilled or dimpled, not lubricated"
    FILLED = "filled", "Filled"
    WOVEN = "woven", "Woven"


class DrawingFormat(models.TextChoices):
    """How the file of a drawing is kept."""

    PDF = "pdf", "PDF"
    PNG = "png", "PNG"
    JPEG = "jpeg", "JPEG"
