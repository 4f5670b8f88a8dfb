"""What a row must keep to beyond its cells: tags, settings, lengths."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from app.book.schema import FactKind
from app.book.settings import read_value
from app.book.tags import TagKind, is_house_tag, looks_like_house_tag
from app.errors import BadInput
from app.fit.lengths import LengthUnit, parse_length

PART_TAG = re.compile(r"[A-Z0-9-]{1,10}")
SAME_MM = 0.01
LENGTH_UNITS = {unit.value for unit in LengthUnit}

Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Broken:
    """A law that a row breaks: the column, what was found there, what was expected."""

    column: str
    found: str
    expected: str


@dataclass(frozen=True, slots=True)
class FactKnown:
    """What a length needs to know of its fact."""

    kind: FactKind
    unit: str


Facts = Mapping[int, FactKnown]
RowLaw = Callable[[Values, Facts], Iterator[Broken]]


def tag_law(kind: TagKind) -> RowLaw:
    """A tag that looks like ours must be a whole one of its kind; tags from elsewhere may stand."""

    def law(values: Values, _facts: Facts) -> Iterator[Broken]:
        tag = values["tag"]
        if not looks_like_house_tag(tag):
            return
        if not is_house_tag(tag):
            yield Broken("tag", tag, "a tag whose check character agrees: read the label again, or give a new tag")
        elif tag[0] != kind.value:
            yield Broken("tag", tag, f"a tag that starts with {kind.value}")

    return law


def part_tag_law(values: Values, facts: Facts) -> Iterator[Broken]:
    """A part's tag is 1 to 10 capitals, digits and hyphens, and a whole one when it is ours."""
    if not PART_TAG.fullmatch(values["tag"]):
        yield Broken("tag", values["tag"], "1 to 10 capitals, digits and hyphens")
        return
    yield from tag_law(TagKind.PART)(values, facts)


def setting_law(values: Values, _facts: Facts) -> Iterator[Broken]:
    """A setting is one the yard has, with a value of its type."""
    try:
        read_value(values["name"], values["value"])
    except BadInput as error:
        known = "there is no setting" not in error.title
        yield Broken("value" if known else "name", values["value" if known else "name"], error.remedy)


def length_law(values: Values, facts: Facts) -> Iterator[Broken]:
    """The millimeters of a length fact are worked out from what was typed, and must agree where both are given."""
    fact = facts.get(values["fact_id"])
    if fact is None or fact.kind is not FactKind.LENGTH:
        return
    try:
        mm = parse_length(values["value"], fact.unit if fact.unit in LENGTH_UNITS else "in").mm
    except BadInput as error:
        yield Broken("value", values["value"], f"a length: {error.title}")
        return
    given = values["mm"]
    if given is None:
        values["mm"] = mm
    elif abs(given - mm) > SAME_MM:
        yield Broken("mm", repr(given), f"{mm!r}, which is {values['value']} in millimeters, or an empty cell")


LAWS: Mapping[str, RowLaw] = {
    "parts": part_tag_law,
    "donors": tag_law(TagKind.VEHICLE),
    "places": tag_law(TagKind.PLACE),
    "sale_tickets": tag_law(TagKind.SALE),
    "weight_tickets": tag_law(TagKind.WEIGHT),
    "settings": setting_law,
    "part_facts": length_law,
}
