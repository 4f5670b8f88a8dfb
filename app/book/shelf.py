"""What bears on asks, as it is kept until a rule changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.book.reach.linkreading import Links
from app.fit.known import DateMove, UseInfo
from app.fit.links.linkgraph import LinkGraph, Step
from app.fit.rules import Rule


@dataclass(frozen=True, slots=True)
class Needed:
    """The part types that sets are made up with.

    `anywhere` are told apart by shelf, condition and price alone, `told_apart` by what is known of them too, and `near`
    come off the part's own donor. `enough` is the most that one set could use of a type.
    """

    anywhere: frozenset[str] = frozenset()
    told_apart: frozenset[str] = frozenset()
    near: frozenset[str] = frozenset()
    enough: int = 0

    def __bool__(self) -> bool:
        """Whether anything is needed."""
        return self.enough > 0


@dataclass
class Between:
    """The rules that may speak of vehicles between the links of chains; None until they were read."""

    rules: tuple[Rule, ...] | None = None


@dataclass(frozen=True, slots=True)
class Bearing:
    """What bears on part types wanted for some models: rules, what chains are made of, and uses of designs.

    `types` are those that may answer, `designs` those in use there, by their ids; `kin` says whether there are links
    that stay inside a family, in which families these meet others takes a statement to read.
    """

    types: frozenset[str]
    rules: tuple[Rule, ...]
    graph: LinkGraph
    kin: bool
    moves: tuple[DateMove, ...]
    uses: tuple[UseInfo, ...]
    designs: Mapping[int, str]
    needed: Needed
    between: Between = field(default_factory=Between)


@dataclass
class Shelf:
    """Rules and bearings that were read since the rules last changed."""

    version: int = 0
    reader: Links | None = None
    rules: dict[int, Rule] = field(default_factory=dict)
    steps: dict[int, Step] = field(default_factory=dict)
    bearings: dict[tuple[frozenset[str], frozenset[str] | None], Bearing] = field(default_factory=dict)
    laws: tuple[int, ...] | None = None
    moves: tuple[DateMove, ...] = ()
