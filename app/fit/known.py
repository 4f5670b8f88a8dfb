"""What the engine is given: facts, identities, what a model can be, the parts on offer and the target."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date
from decimal import Decimal

from app.fit.making import record
from app.fit.rules import Rule
from app.fit.terms import Condition, FactKind, Group, Hazard, Side

UNKNOWN_MILES = 2**31
"""More than any meter shows."""


@record(frozen=True, slots=True)
class FactInfo:
    """A fact the yard asks about; `effort` is what it costs to answer (0 knows it, 5 a jack)."""

    name: str
    kind: FactKind
    unit: str = ""
    choices: tuple[str, ...] = ()
    question: str = ""
    effort: int = 1
    group: Group | None = None


@record(frozen=True, slots=True)
class Possible:
    """A value a vehicle of a model can have: over build months (YYYY-MM), at plants, with other facts."""

    fact: str
    value: str
    u_mm: float | None = None
    built_from: str = ""
    built_to: str = ""
    plants: frozenset[str] = frozenset()
    given: tuple[tuple[str, str], ...] = ()


@record(frozen=True, slots=True)
class ModelInfo:
    """A model as the engine needs it; `with_make` where another make has one of the same name.

    `with_variant` says that another model is said in the same words, and only its variant tells it from this one.
    """

    key: str
    make: str
    name: str
    variant: str
    weight_class: str
    family: str
    body_style: str
    frame_design: str
    year_from: int
    year_to: int
    possible: tuple[Possible, ...] = ()
    with_make: bool = False
    with_variant: bool = False

    @property
    def words_apart(self) -> str:
        """The model as it is told from others: a light Tolliver (second body)."""
        return f"{self.words} ({self.variant})" if self.with_variant and self.variant else self.words

    @property
    def words(self) -> str:
        """The model as it is said."""
        return " ".join(word for word in (self.make if self.with_make else "", self.weight_class, self.name) if word)


@record(frozen=True, slots=True)
class Identity:
    """What a vehicle is for one group of parts; what is not known is None or empty.

    `built_from` and `built_to` are the first and last month it may be of, where the very month is not known.
    """

    model: ModelInfo
    year: int | None = None
    built: str | None = None
    plant: str = ""
    built_from: str = ""
    built_to: str = ""


@record(frozen=True, slots=True)
class Known:
    """A fact as known: the value as typed, its measuring doubt, and how it is known.

    `among` are the values still open where the words leave several.
    """

    value: str
    u_mm: float | None = None
    known_by: str = "seen"
    among: tuple[str, ...] = ()


@record(frozen=True, slots=True)
class Subject:
    """One end of a rule: an identity with what is known beside it; `donor_facts` yield to `facts`.

    `pieces` are those of a lot in hand, 0 for a vehicle. `others` are the groups that another vehicle's piece decides:
    a body on a strange frame.
    """

    identity: Identity | None
    facts: Mapping[str, Known] = field(default_factory=dict)
    donor_facts: Mapping[str, Known] = field(default_factory=dict)
    side: Side = Side.NONE
    part_type: str = ""
    pieces: int = 1
    others: Mapping[Group, Identity] = field(default_factory=dict)


@record(frozen=True, slots=True)
class Offer:
    """A part on hand as the engine sees it; money in cents, `seen_days` since it was last seen in its place.

    `sided` is its kind's: of a kind that has sides, a part whose side nobody wrote down may be either.

    `gone_pieces` are the pieces taken from it as a lump: part type and price. `has_miles` is its kind's: an engine has
    miles, known or not.
    """

    tag: str
    part_type: str
    wider: str
    name: str
    subject: Subject
    donor: str
    condition: Condition
    price_cents: int
    core_cents: int
    on_shelf: bool
    where: str
    miles: int | None
    made_on: date
    pieces: int = 1
    seen_days: int | None = None
    pull_hours: Decimal | None = None
    design: str = ""
    hazards: tuple[Hazard, ...] = ()
    blocked: str = ""
    law: str = ""
    frame_verdict: str = ""
    gone_pieces: tuple[tuple[str, int], ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    sided: bool = True
    has_miles: bool = False

    @property
    def miles_ranked(self) -> int:
        """By which parts rank, fewer first: miles nobody knows stand behind all that are known."""
        if self.miles is not None:
            return self.miles
        return UNKNOWN_MILES if self.has_miles else 0


@record(frozen=True, slots=True)
class Want:
    """A stated requirement: a fact or `price`, `shelf`, `condition`, how it compares, and the value."""

    fact: str
    op: str
    value: str
    words: str


@record(frozen=True, slots=True)
class Target:
    """What the customer has and asks for: one identity per group, the looks at it, and what must be met."""

    wanted: frozenset[str]
    identities: Mapping[Group, tuple[Identity, ...]]
    facts: Mapping[str, Known] = field(default_factory=dict)
    side: Side = Side.NONE
    wants: tuple[Want, ...] = ()
    quantity: int | None = None


@record(frozen=True, slots=True)
class DateMove:
    """Where a moving rule's conditions hold, the moved rule's split is another month."""

    rule: Rule
    moves: str
    from_month: str
    to_month: str


@record(frozen=True, slots=True)
class UseInfo:
    """A design on a model over years, build months, plants and options."""

    design: str
    model: str
    year_from: int | None = None
    year_to: int | None = None
    built_from: str = ""
    built_to: str = ""
    plants: frozenset[str] = frozenset()
    given: tuple[tuple[str, str], ...] = ()
    known_by: str = "measured"
