"""What a row must keep to beyond its cells: tags, settings, lengths, and which sheet is under which law."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping

from app.book.settings import read_value
from app.book.sheets.broken import Broken, Facts, Values
from app.book.sheets.valuelaws import (
    LENGTH_UNITS,
    alias_law,
    choices_law,
    companion_law,
    condition_law,
    consequence_law,
    fact_law,
    given_law,
    model_fact_law,
)
from app.book.tags import TagKind, is_house_tag, looks_like_house_tag
from app.errors import BadInput
from app.fit.lengths import LengthUnit, Tool, parse_length, usual_doubt_mm
from app.fit.terms import FactKind

PART_TAG = re.compile(r"[A-Z0-9-]{1,10}")
SAME_MM = 0.01
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


def part_fact_law(values: Values, facts: Facts) -> Iterator[Broken]:
    """A value is what its fact takes; a length's millimeters are worked out from it, and agree where both are given."""
    broken = list(fact_law(values, facts))
    yield from broken
    fact = facts.get(values["fact_id"])
    if broken or fact is None or fact.kind is not FactKind.LENGTH:
        return
    mm = parse_length(values["value"], fact.unit if fact.unit in LENGTH_UNITS else LengthUnit.INCH).mm
    given = values["mm"]
    if given is None:
        values["mm"] = mm
    elif abs(given - mm) > SAME_MM:
        yield Broken("mm", repr(given), f"{mm!r}, which is {values['value']} in millimeters, or an empty cell")


def surveyed_law(tools: Mapping[str, str], *, doubts: bool) -> RowLaw:
    """The millimeters of what was typed in a survey, worked out where empty, and with them the tool's doubt.

    `tools` names the tool's column for each typed one; a tool's own empty column means the column "tool".
    """

    def law(values: Values, _facts: Facts) -> Iterator[Broken]:
        for name, tool_column in tools.items():
            yield from _surveyed(values, name, tool_column, doubts)

    return law


def _surveyed(values: Values, name: str, tool_column: str, doubts: bool) -> Iterator[Broken]:
    typed, tool_column = values[name], tool_column if values[tool_column] else "tool"
    tool = values[tool_column]
    if tool not in set(Tool):
        yield Broken(tool_column, tool, f"a tool: {', '.join(Tool)}")
        return
    if not typed.strip():
        if values[f"{name}_mm"] is not None:
            yield Broken(name, typed, f"the length as typed, or an empty {name}_mm")
        return
    try:
        mm = parse_length(typed, signed=True).mm
    except BadInput as error:
        yield Broken(name, typed, f"a length: {error.title}")
        return
    given = values[f"{name}_mm"]
    if given is None:
        values[f"{name}_mm"] = mm
    elif abs(given - mm) > SAME_MM:
        yield Broken(f"{name}_mm", repr(given), f"{mm!r}, which is {typed} in millimeters, or an empty cell")
    if doubts and values[f"u_{name}_mm"] is None:
        values[f"u_{name}_mm"] = usual_doubt_mm(Tool(tool), mm)


POINT_TOOLS = {"x": "x_tool", "y": "y_tool", "z": "z_tool"}
STATION_TOOLS = dict.fromkeys(("x", "face", "height", "width", "top", "bottom"), "tool") | {"wall": "wall_tool"}

LAWS: Mapping[str, RowLaw] = {
    "parts": part_tag_law,
    "donors": tag_law(TagKind.VEHICLE),
    "places": tag_law(TagKind.PLACE),
    "sale_tickets": tag_law(TagKind.SALE),
    "weight_tickets": tag_law(TagKind.WEIGHT),
    "settings": setting_law,
    "part_facts": part_fact_law,
    "facts": choices_law,
    "donor_facts": fact_law,
    "design_facts": fact_law,
    "frame_facts": fact_law,
    "model_facts": model_fact_law,
    "design_uses": given_law,
    "aliases": alias_law,
    "rule_conditions": condition_law,
    "rule_companions": companion_law,
    "rule_consequences": consequence_law,
    "survey_points": surveyed_law(POINT_TOOLS, doubts=True),
    "survey_stations": surveyed_law(STATION_TOOLS, doubts=False),
}
