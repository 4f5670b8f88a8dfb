"""The trade's own words as closed lists, used the same way in code, screens and the book."""

from __future__ import annotations

from enum import StrEnum


class Grade(StrEnum):
    """How a part fits, best first; the order of the members is the order of the answer list."""

    BOLTS_UP = "bolts_up"
    MOVE_OVER = "move_over"
    SET = "set"
    MEASURE = "measure"
    BOLTS_IN = "bolts_in"
    NEEDS_WORK = "needs_work"
    SET_SHORT = "set_short"
    NOT_COMPARED = "not_compared"
    WONT_FIT = "wont_fit"

    @property
    def rank(self) -> int:
        """0 for the best grade, counting down the list."""
        return _GRADE_RANKS[self]

    @property
    def said(self) -> str:
        """The grade as it is said at the counter."""
        return _GRADE_WORDS[self]


_GRADE_RANKS = {grade: rank for rank, grade in enumerate(Grade)}
_GRADE_WORDS = {
    Grade.BOLTS_UP: "bolts up",
    Grade.MOVE_OVER: "bolts up, moving pieces over",
    Grade.SET: "as a set",
    Grade.MEASURE: "measure first",
    Grade.BOLTS_IN: "bolts in, but",
    Grade.NEEDS_WORK: "fits with work",
    Grade.SET_SHORT: "set, short of a piece",
    Grade.NOT_COMPARED: "never compared",
    Grade.WONT_FIT: "won't fit",
}


QUOTABLE = frozenset({Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.SET, Grade.BOLTS_IN, Grade.NEEDS_WORK})
"""The grades under which the counter may quote a price."""


class Side(StrEnum):
    """The side as seated, facing forward; NONE for a part that has no side."""

    LH = "LH"
    RH = "RH"
    NONE = ""


class Group(StrEnum):
    """Which identity of a vehicle decides for a part."""

    FRAME = "frame"
    BODY = "body"
    NOSE = "nose"
    DRIVELINE = "driveline"


class Condition(StrEnum):
    """What state a part is in; never called grade, which is kept for fit."""

    A = "A"
    B = "B"
    C = "C"
    CORE = "core"
    SCRAP = "scrap"

    @property
    def rank(self) -> int:
        """0 for the best."""
        return _CONDITION_RANKS[self]


_CONDITION_RANKS = {condition: rank for rank, condition in enumerate(Condition)}


class FactKind(StrEnum):
    """How a fact's value is read and compared."""

    CHOICE = "choice"
    YES_NO = "yes or no"
    COUNT = "count"
    NUMBER = "number"
    LENGTH = "length"
    MONTH = "month"
    DATE = "date"
    WORDS = "words"


class Section(StrEnum):
    """What a look at the rails says."""

    BOXED = "fully boxed"
    OPEN = "open C-channel"
    PART_BOXED = "part boxed"
    PERIMETER = "perimeter"
    TUBE = "tube"
    UNIBODY = "unibody"


class FrontSuspension(StrEnum):
    """What carries the front."""

    COIL_OVER = "coil-over"
    TORSION_BAR = "torsion bar"
    COIL_SOLID_AXLE = "coil, solid axle"
    LEAF_SOLID_AXLE = "leaf, solid axle"
    STRUT = "strut"


class RearSuspension(StrEnum):
    """What carries the rear."""

    LEAF = "leaf"
    FIVE_LINK_COIL = "five-link coil"
    FOUR_LINK_COIL = "four-link coil"
    INDEPENDENT = "independent"
    TWIST_BEAM = "twist beam"
    AIR = "air"


class Hazard(StrEnum):
    """What can hurt the person who takes a part off, carries it or sells it; a yard may name others of its own."""

    AIRBAG = "airbag"
    BELT = "belt pretensioner"
    SPRING = "spring under load"
    FLUID = "fluid"
    FUEL = "fuel"
    SHARP = "sharp edges"
    HEAVY = "over 60 lb"
    TWO_PERSON = "two persons"
    LIFT = "lifting gear"
    HIGH_VOLTAGE = "high voltage"
    WELDING = "structural welding"
    REFRIGERANT = "refrigerant"

    @classmethod
    def _missing_(cls, value: object) -> Hazard | None:
        if not isinstance(value, str) or not value.strip():
            return None
        own = str.__new__(cls, value)
        own._name_ = own._value_ = value
        return own

    @property
    def caution(self) -> str:
        """The usual caution; it defers to local rules and licensed practice."""
        return _CAUTIONS.get(self) or f"{self[:1].upper()}{self[1:]}: take care, under local rules."


_CAUTIONS = {
    Hazard.AIRBAG: "Live charge: battery off, wait the maker's time, carry it face away. Local rules decide.",
    Hazard.BELT: "Pretensioner holds a charge: battery off and wait. Trained hands only; local rules decide.",
    Hazard.SPRING: "Stored force: unload it with the proper tool before any bolt is touched.",
    Hazard.FLUID: "Drain into a marked drum first; local waste rules apply.",
    Hazard.FUEL: "No flame, no sparks, tank drained and purged. Fire code and local rules decide.",
    Hazard.SHARP: "Cut gloves on.",
    Hazard.HEAVY: "Over 60 lb: not above the waist, use a hoist or a second person.",
    Hazard.TWO_PERSON: "Two persons.",
    Hazard.LIFT: "Rated lifting gear, nobody under the load.",
    Hazard.HIGH_VOLTAGE: "High voltage: trained person only, service plug out, meter, second person present.",
    Hazard.WELDING: "Structural welding: certified welder, under local rules; an engineer signs.",
    Hazard.REFRIGERANT: "Recover refrigerant with certified equipment; venting is against the law.",
}
