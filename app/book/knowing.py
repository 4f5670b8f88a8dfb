"""What the yard knows: its words, facts, part types and models, kept until somebody changes them.

Rules are not among it: of these an ask reads the few that bear on it (see bearing.py).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from weakref import WeakKeyDictionary

from sqlalchemy import Pool, select
from sqlalchemy.orm import Session

from app.book import schema
from app.book.bench.computing import measured_frames
from app.book.garbage import keep_for_hours
from app.book.modelreading import SMALL, Models, read_facts, read_models
from app.book.reach.closure import Catalog
from app.book.shelf import Shelf
from app.book.versions import versions
from app.book.words.vocabulary import Vocabulary
from app.book.words.wordlist import load_vocabulary
from app.fit.computed import MeasuredFrames
from app.fit.known import UNKNOWN_MILES, FactInfo, ModelInfo
from app.fit.terms import Group, Hazard


@dataclass(frozen=True, slots=True)
class TypeInfo:
    """A part type as an ask needs it."""

    id: int
    name: str
    wider: str
    group: Group
    law: str
    hazards: tuple[Hazard, ...]
    sided: bool
    look_for: tuple[str, ...]
    has_miles: bool
    pieces: int


@dataclass
class Knowing:
    """The yard's knowledge at one version, with the rules that were read since they last changed."""

    version: int
    vocabulary: Vocabulary
    facts: dict[str, FactInfo]
    shelf_of_models: Models
    types: dict[int, TypeInfo]
    rules: Shelf = field(default_factory=Shelf)
    type_names: dict[int, str] = field(init=False)
    type_ids: dict[str, int] = field(init=False)
    groups: dict[str, Group] = field(init=False)
    under_law: frozenset[str] = field(init=False)
    unknown_miles: dict[int, int] = field(init=False)
    look_for: dict[str, tuple[str, ...]] = field(init=False)
    _frames: MeasuredFrames | None = None

    def __post_init__(self) -> None:
        self.type_names = {key: row.name for key, row in self.types.items()}
        self.type_ids = {row.name: row.id for row in self.types.values()}
        self.look_for = {row.name: row.look_for for row in self.types.values()}
        self.under_law = frozenset(row.name for row in self.types.values() if row.law)
        self.unknown_miles = {key: UNKNOWN_MILES if row.has_miles else 0 for key, row in self.types.items()}
        self.groups = {row.name: row.group for row in self.types.values()}

    @property
    def models(self) -> dict[str, ModelInfo]:
        """All models by key; what one can be is there once it was brought."""
        return self.shelf_of_models.infos

    def model(self, model_id: int | None) -> ModelInfo | None:
        """The model of an id."""
        key = self.shelf_of_models.keys.get(model_id or 0)
        return self.shelf_of_models.infos[key] if key is not None else None

    def frames(self, session: Session) -> MeasuredFrames:
        """The frames that were measured, read when they are first asked for."""
        if self._frames is None:
            self._frames = measured_frames(session)
        return self._frames

    @property
    def catalog(self) -> Catalog:
        """What rules speak of."""
        return Catalog(self.type_names, self.type_ids, self.shelf_of_models, self.facts)


_kept: WeakKeyDictionary[Pool, Knowing] = WeakKeyDictionary()


def kept_knowing(session: Session) -> Knowing | None:
    """The yard's knowledge as it was last read, which may be out of date; None where none was read yet."""
    kept = _kept.get(session.connection().engine.pool)
    if kept is not None:
        kept.shelf_of_models.make_room()
    return kept


def knowing(session: Session) -> Knowing:
    """The yard's knowledge as it stands; read again only when it was changed."""
    version, rules = versions(session.connection())
    pool = session.connection().engine.pool
    kept = kept_knowing(session)
    if kept is None or kept.version != version:
        kept = _read(session, version)
        _kept[pool] = kept
        if len(kept.models) > SMALL:
            keep_for_hours()
    if kept.rules.version != rules:
        kept.rules = Shelf(rules)
    return kept


def _read(session: Session, version: int) -> Knowing:
    connection = session.connection()
    models = read_models(connection)
    known = Knowing(
        version=version,
        vocabulary=load_vocabulary(session, models.infos),
        facts=read_facts(connection),
        shelf_of_models=models,
        types={row.id: _type(row) for row in session.scalars(select(schema.PartType))},
    )
    session.expunge_all()
    return known


def _type(row: schema.PartType) -> TypeInfo:
    hazards = tuple(map(Hazard, row.hazards))
    look_for = tuple(map(str, row.look_for))
    law = str(row.law)
    return TypeInfo(
        row.id, row.name, row.wider, row.group, law, hazards, row.sided, look_for, row.has_miles, row.pieces
    )
