"""All that the yard knows that bears on one ask."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from datetime import date

from app.fit.computed import MeasuredFrames
from app.fit.known import DateMove, FactInfo, ModelInfo, UseInfo
from app.fit.links.linkgraph import LinkGraph
from app.fit.making import record
from app.fit.rules import Rule
from app.fit.terms import Group


@record(frozen=True, slots=True)
class Knowledge:
    """What the yard knows that bears on one kind of part.

    `look_for` are the facts that parts of a type are told apart by, `frames` the frames that were measured.
    `graph` holds the links that chains may be made of where these were worked out before; else the rules themselves
    serve, over all the models. `beside` reads the rules that may speak of vehicles between these links.
    """

    facts: Mapping[str, FactInfo]
    rules: tuple[Rule, ...]
    moves: tuple[DateMove, ...] = ()
    groups: Mapping[str, Group] = field(default_factory=dict)
    uses: tuple[UseInfo, ...] = ()
    models: Mapping[str, ModelInfo] = field(default_factory=dict)
    today: date = date.min
    look_for: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    frames: MeasuredFrames | None = None
    graph: LinkGraph | None = None
    beside: Callable[[], Sequence[Rule]] | None = None
