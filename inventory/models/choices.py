"""Words of the trade that the register chooses from."""

from django.db import models
from django.utils.translation import gettext_noop as _

from inventory.words import TextWords


class DeckType(TextWords):
    STEEL = "steel", _("Steel deck and girders (type 1)")
    COMPOSITE = "composite", _("Concrete deck on steel girders (type 2)")
    CONCRETE = "concrete", _("Concrete (type 3)")


class ElementKind(TextWords):
    BEARING = "bearing", _("Bearing")
    JOINT = "joint", _("Deck joint")
    RESTRAINT = "restraint", _("Restraint")


class DeviceType(TextWords):
    PLAIN_ELASTOMERIC = "plain_elastomeric", _("Plain elastomeric bearing")
    REINFORCED_ELASTOMERIC = "reinforced_elastomeric", _("Steel-reinforced elastomeric bearing")
    FLAT_SLIDING = "flat_sliding", _("Flat sliding bearing")
    POT = "pot", _("Pot bearing")
    DISC = "disc", _("Disc bearing")
    SPHERICAL = "spherical", _("Spherical bearing")
    ROCKER = "rocker", _("Rocker bearing")
    ROLLER = "roller", _("Roller bearing")
    FIXED_PIN = "fixed_pin", _("Fixed pin bearing")
    OTHER_BEARING = "other_bearing", _("Other bearing")
    STRIP_SEAL = "strip_seal", _("Strip seal joint")
    COMPRESSION_SEAL = "compression_seal", _("Compression seal joint")
    POURED = "poured", _("Poured joint")
    MODULAR = "modular", _("Modular joint")
    FINGER = "finger", _("Finger joint")
    SLIDING_PLATE = "sliding_plate", _("Sliding plate joint")
    PLUG = "plug", _("Plug joint")
    OPEN = "open", _("Open joint")
    OTHER_JOINT = "other_joint", _("Other joint")
    SHEAR_KEY = "shear_key", _("Shear key")
    HOLD_DOWN = "hold_down", _("Hold-down")
    ANCHOR_RODS = "anchor_rods", _("Anchor rod group")
    CLAMP = "clamp", _("Clamp")
    LOCK_UP = "lock_up", _("Lock-up device")
    RESTRAINER_CABLE = "restrainer_cable", _("Restrainer cable")


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


class SupportKind(TextWords):
    ABUTMENT = "abutment", _("Abutment")
    PIER = "pier", _("Pier")
    HINGE = "hinge", _("In-span hinge")


class GapAxis(TextWords):
    SQUARE = "square", _("Square to the joint")
    ROAD = "road", _("Along the road")


class SettingSource(TextWords):
    MEASURED = "measured", _("Measured when set")
    DRAWINGS = "drawings", _("From drawings")
    UNKNOWN = "unknown", _("Not known: the first accepted reading is the baseline")


class EndReason(TextWords):
    REPLACED = "replaced", _("Replaced")
    RESET = "reset", _("Reset to a new position")


class Access(TextWords):
    GROUND = "ground", _("From the ground or a bench")
    LADDER = "ladder", _("Ladder")
    LIFT = "lift", _("Aerial lift")
    UNDERBRIDGE = "underbridge", _("Under-bridge unit from the deck")
    INSIDE = "inside", _("From inside the box")
    ROPE = "rope", _("Rope access")
    BOAT = "boat", _("Boat or barge")
    DECK = "deck", _("From the deck under traffic control")
    ENCLOSED = "enclosed", _("Enclosed: not open to a close look")
    UNKNOWN = "unknown", _("Not known")


class Replaceable(TextWords):
    YES = "yes", _("Yes, in service")
    CLOSURE = "closure", _("Only with the bridge closed")
    NO = "no", _("No")
    UNKNOWN = "unknown", _("Not known")


class BasisMethod(TextWords):
    AASHTO_A = "aashto_a", _("AASHTO LRFD 3.12.2, procedure A")
    AASHTO_B = "aashto_b", _("AASHTO LRFD 3.12.2, procedure B, read off its maps")
    EN_1991_1_5 = "en_1991_1_5", "EN 1991-1-5, 6.1.3"
    STATION = "station", _("Yearly extremes of the air station, then EN 1991-1-5, 6.1.3")
    ENTERED = "entered", _("Entered figures with their source")


class Climate(TextWords):
    MODERATE = "moderate", _("Moderate (fewer than 14 freezing days a year)")
    COLD = "cold", _("Cold")


class SurfacingRule(TextWords):
    UK_NA = "uk_na", _("UK national annex to EN 1991-1-5, Table NA.1")


class CementClass(TextWords):
    SLOW = "S", _("S, slow")
    NORMAL = "N", _("N, normal")
    RAPID = "R", _("R, rapid")


class ShorteningRule(TextWords):
    AASHTO_2015 = "aashto_2015", _("AASHTO LRFD 5.4.2.3, from the 2015 interim revisions on")
    AASHTO_2007 = "aashto_2007", _("AASHTO LRFD 5.4.2.3, 2007 to 2014")
    EN_2004 = "en_2004", _("EN 1992-1-1:2004, 3.1.4 and Annex B")


class SectionForm(TextWords):
    SLAB = "slab", _("Concrete slab")
    CONCRETE_GIRDERS = "concrete_girders", _("Concrete slab on concrete girders")
    CONCRETE_BOX = "concrete_box", _("Concrete box")
    COMPOSITE_GIRDERS = "composite_girders", _("Concrete slab on steel girders")
    STEEL_BOX = "steel_box", _("Steel box with a steel deck")


DECK_OF_SECTION = {
    SectionForm.SLAB: DeckType.CONCRETE,
    SectionForm.CONCRETE_GIRDERS: DeckType.CONCRETE,
    SectionForm.CONCRETE_BOX: DeckType.CONCRETE,
    SectionForm.COMPOSITE_GIRDERS: DeckType.COMPOSITE,
    SectionForm.STEEL_BOX: DeckType.STEEL,
}


class PtfeKind(TextWords):
    UNCONFINED_UNFILLED = "unconfined_unfilled", _("Unfilled sheet, not recessed")
    CONFINED_UNFILLED = "confined_unfilled", _("Unfilled sheet, recessed")
    FILLED = "filled", _("Filled sheet")
    WOVEN_ON_METAL = "woven_on_metal", _("Woven fibre over a metal substrate")
    REINFORCED_WOVEN = "reinforced_woven", _("Reinforced woven fibre")


class SlidingSurfaceKind(TextWords):
    DIMPLED_LUBRICATED = "dimpled_lubricated", _("Dimpled and lubricated")
    UNFILLED = "unfilled", _("Unfilled or dimpled, not lubricated")
    FILLED = "filled", _("Filled")
    WOVEN = "woven", _("Woven")


class DrawingFormat(models.TextChoices):
    """How the file of a drawing is kept."""

    PDF = "pdf", "PDF"
    PNG = "png", "PNG"
    JPEG = "jpeg", "JPEG"
