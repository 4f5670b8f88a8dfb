"""Reading models and facts into the engine's form; what a model can be is read when it is looked at.

A yard may know a great many models and look at a few of them in a day.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, text

from app.book.fetching import JSON, LISTED, fetch, statement
from app.fit.known import FactInfo, ModelInfo, Possible
from app.fit.terms import FactKind, Group
from app.fit.values import plain

SMALL = 2_000
"""Up to so many models all that they can be is read at once."""

MOST_KEPT = 20_000
"""So many models are kept with all that they can be; then the shelf is cleared."""

_MODELS = (
    "SELECT m.id, m.key, m.make, m.name, m.variant, m.weight_class, m.family, m.body_style, "
    "coalesce(f.code, ''), m.year_from, m.year_to "
    "FROM models m LEFT JOIN frame_designs f ON f.id = m.frame_design_id ORDER BY m.key"
)
_MODELS_OF = statement(dict.fromkeys(LISTED, _MODELS))
# One line of what a model can be.
LINE = (
    "CAST({array}(m.number, f.name, m.value, m.u_mm, m.built_from, m.built_to, CAST(m.plants AS TEXT), "
    "CAST(m.given AS TEXT)) AS TEXT)"
)
_POSSIBLE = f"SELECT m.model_id, {LINE} FROM model_facts m JOIN facts f ON f.id = m.fact_id"
_EVERY = statement({name: f"{_POSSIBLE} ORDER BY m.model_id".format(**JSON[name]) for name in LISTED})
_SOME = statement(
    {
        name: f"{_POSSIBLE} WHERE m.model_id {some.format(name='ids')}".format(**JSON[name])
        for name, some in LISTED.items()
    }
)
_FACTS = text('SELECT name, kind, unit, CAST(choices AS TEXT), question, effort, "group" FROM facts ORDER BY id')


def read_facts(connection: Connection) -> dict[str, FactInfo]:
    """Every fact the yard asks about."""
    return {
        row[0]: FactInfo(
            row[0],
            FactKind(row[1]),
            row[2],
            tuple(map(str, json.loads(row[3]))),
            row[4],
            row[5],
            Group(row[6]) if row[6] else None,
        )
        for row in connection.execute(_FACTS)
    }


@dataclass
class Models:
    """All models by key; `whole` are those of which it was read what they can be."""

    infos: dict[str, ModelInfo] = field(default_factory=dict)
    keys: dict[int, str] = field(default_factory=dict)
    ids: dict[str, int] = field(default_factory=dict)
    whole: set[str] = field(default_factory=set)
    _families: dict[str, list[str]] = field(default_factory=dict)
    _spoken: dict[str, str] = field(default_factory=dict)

    def add(self, model_id: int, info: ModelInfo) -> None:
        """Put one on the shelf."""
        self.infos[info.key] = info
        self.keys[model_id] = info.key
        self.ids[info.key] = model_id
        self._families.setdefault(info.family, []).append(info.key)
        self._spoken[plain(info.key)] = info.key

    def family(self, name: str) -> list[str]:
        """The keys of a family's models."""
        return self._families.get(name, [])

    def named(self, names: Iterable[str]) -> list[str]:
        """The keys of models by their plain words; what is no model is left out."""
        return [self._spoken[name] for name in names if name in self._spoken]

    @property
    def all_whole(self) -> bool:
        """Whether it was read of every model what it can be."""
        return len(self.whole) == len(self.infos)

    @property
    def whole_ids(self) -> list[int]:
        """The ids of those of which it was read."""
        return [self.ids[key] for key in self.whole]

    def missing(self, keys: Iterable[str]) -> list[int]:
        """Those of which it was not read yet what they can be."""
        return [self.ids[key] for key in keys if key not in self.whole and key in self.ids]

    def bring(self, connection: Connection, keys: Iterable[str]) -> None:
        """Have all that these models can be."""
        missing = self.missing(keys)
        if missing:
            self.settle(missing, fetch(connection, _SOME, {"ids": json.dumps(missing)}))

    def bring_all(self, connection: Connection) -> None:
        """Have all that every model can be."""
        if not self.all_whole:
            every = text(_EVERY[connection.dialect.name])
            self.settle(list(self.keys), connection.execute(every).yield_per(MOST_KEPT))

    def settle(self, missing: Iterable[int], rows: Iterable[Sequence[Any]]) -> None:
        """Keep what models can be, as it was read: the id of a model and one line of what it can be."""
        possible: dict[int, list[tuple[int, Possible]]] = {}
        for model_id, line in rows:
            possible.setdefault(model_id, []).append(_possible(line))
        for model_id in missing:
            key = self.keys[model_id]
            lines = sorted(possible.get(model_id, ()), key=_number)
            self.infos[key] = replace(self.infos[key], possible=tuple([line for _, line in lines]))
            self.whole.add(key)

    def make_room(self) -> None:
        """Clear the shelf where it is full; not within an ask, which counts on what it has brought."""
        if len(self.whole) > MOST_KEPT:
            for key in self.whole:
                self.infos[key] = replace(self.infos[key], possible=())
            self.whole.clear()

    def on(self, connection: Connection) -> Mapping[str, ModelInfo]:
        """The models with all that they can be, read through a connection when they are looked at."""
        return self.infos if self.all_whole else _Looked(self, connection)


@dataclass(frozen=True)
class _Looked(Mapping[str, ModelInfo]):
    """Models read as they are looked at."""

    models: Models
    connection: Connection

    def __getitem__(self, key: str) -> ModelInfo:
        if key not in self.models.whole:
            self.models.bring(self.connection, [key])
        return self.models.infos[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self.models.infos)

    def __len__(self) -> int:
        return len(self.models.infos)


def read_models(connection: Connection) -> Models:
    """All models of the book, those of a small yard with all that they can be."""
    models = Models()
    rows = list(fetch(connection, _MODELS_OF, {}))
    infos = [(model_id, ModelInfo(*cells)) for model_id, *cells in rows]
    makes: dict[str, set[str]] = {}
    for _, info in infos:
        makes.setdefault(plain(info.name), set()).add(info.make)
    alike = Counter((info.make, info.weight_class, info.name) for _, info in infos)
    for model_id, info in infos:
        with_make = len(makes[plain(info.name)]) > 1
        with_variant = alike[info.make, info.weight_class, info.name] > 1
        told = replace(info, with_make=with_make, with_variant=with_variant) if with_make or with_variant else info
        models.add(model_id, told)
    if len(models.infos) <= SMALL:
        models.bring_all(connection)
    return models


@lru_cache(maxsize=4096)
def _possible(line: str) -> tuple[int, Possible]:
    """One row of what a model can be, with its number; models that can be the same share it."""
    number, fact, value, doubt, built_from, built_to, plants, given = json.loads(line)
    return number, Possible(
        fact,
        value,
        doubt,
        built_from or "",
        built_to or "",
        frozenset(map(str, json.loads(plants))),
        pairs(json.loads(given)),
    )


def _number(line: tuple[int, Possible]) -> int:
    return line[0]


def pairs(given: Iterable[object]) -> tuple[tuple[str, str], ...]:
    """Entries written as fact=value."""
    split = (str(each).partition("=") for each in given)
    return tuple((name.strip(), value.strip()) for name, _, value in split)
