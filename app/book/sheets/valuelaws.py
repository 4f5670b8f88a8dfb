"""What cells of the yard's knowledge must be readable as: values by their fact's kind, conditions by how they compare.

Names of facts, models and choices are not looked up: sheets may come one after the other, and the check of the book
names what means nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping

from app.book.schema import AliasKind
from app.book.sheets.broken import Broken, FactKnown, Facts, Values
from app.errors import BadInput
from app.fit.ages import age
from app.fit.lengths import LengthUnit, parse_length, with_unit
from app.fit.rules import End, Op
from app.fit.saying.figures import WORKED_OUT
from app.fit.terms import FactKind
from app.fit.values import number

_TIME = re.compile(r"\d{4}(?:-(?:0[1-9]|1[0-2])(?:-(?:0[1-9]|[12]\d|3[01]))?)?")
_LIMITS = (" at least ", " at most ", " more than ", " less than ", " over ", " under ")
LENGTH_UNITS = {unit.value for unit in LengthUnit}


def fact_law(values: Values, facts: Facts) -> Iterator[Broken]:
    """A value is what its fact takes, a length has its unit behind it, and a doubt is not below zero."""
    known = facts.get(values.get("fact_id", 0))
    if known is not None:
        yield from _unlike(known, values["value"])
        values["value"] = with_unit(values["value"], known.unit) if known.kind is FactKind.LENGTH else values["value"]
    doubt = values.get("u_mm")
    if doubt is not None and doubt < 0:
        yield Broken("u_mm", repr(doubt), "a doubt that is not below zero")


def _unlike(known: FactKnown, value: str) -> Iterator[Broken]:
    if known.kind is FactKind.LENGTH:
        try:
            parse_length(value, known.unit if known.unit in LENGTH_UNITS else LengthUnit.INCH)
        except BadInput as error:
            yield Broken("value", value, f"a length: {error.title}")
        return
    of_kind = _KINDS.get(known.kind)
    if of_kind is not None and not of_kind[0](value):
        unit = f" of {known.unit}" if known.unit else ""
        yield Broken("value", value, f"{of_kind[1]}{unit}")


def _is_count(value: str) -> bool:
    found = number(value)
    return found is not None and found.denominator == 1


def _is_time(value: str) -> bool:
    return _TIME.fullmatch(value.strip()) is not None


_KINDS: Mapping[FactKind, tuple[Callable[[str], bool], str]] = {
    FactKind.YES_NO: (lambda value: value.strip().lower() in ("yes", "no"), "yes or no"),
    FactKind.COUNT: (_is_count, "a whole number"),
    FactKind.NUMBER: (lambda value: number(value) is not None, "a number"),
    FactKind.MONTH: (_is_time, "a month such as 2007-11"),
    FactKind.DATE: (_is_time, "a date such as 2026-02-10"),
}


def choices_law(values: Values, _facts: Facts) -> Iterator[Broken]:
    """The choices of a fact are what the fact takes; lengths have its unit behind them."""
    known = FactKnown(values["kind"], values["unit"])
    for each in values["choices"]:
        yield from (Broken("choices", broken.found, broken.expected) for broken in _unlike(known, str(each)))
    if known.kind is FactKind.LENGTH:
        values["choices"] = [with_unit(str(each), known.unit) for each in values["choices"]]


def model_fact_law(values: Values, facts: Facts) -> Iterator[Broken]:
    """The same for what a model can be, and what that goes with is written as fact=value."""
    yield from fact_law(values, facts)
    yield from given_law(values, facts)


def given_law(values: Values, _facts: Facts) -> Iterator[Broken]:
    """What a row goes with is written as fact=value."""
    yield from (Broken("given", str(each), "fact=value") for each in values["given"] if not _is_stated(str(each)))


def companion_law(values: Values, facts: Facts) -> Iterator[Broken]:
    """What a companion must be, and by what it is there already, is written as fact=value."""
    yield from given_law(values, facts)
    there = values["already_there"]
    if there and not _is_stated(there):
        yield Broken("already_there", there, "fact=value, or an empty cell")


def _is_stated(entry: str) -> bool:
    fact, equals, value = entry.partition("=")
    return bool(fact.strip() and equals and value.strip())


def consequence_law(values: Values, _facts: Facts) -> Iterator[Broken]:
    """A number is worked out from a fact in one of the ways there are."""
    way = values["worked_out"]
    if way and way not in WORKED_OUT:
        yield Broken("worked_out", way, f"{', '.join(WORKED_OUT)}, or an empty cell")
    elif way and not values["fact"]:
        yield Broken("fact", "", f"the fact of which it is the {way}")


def alias_law(values: Values, _facts: Facts) -> Iterator[Broken]:
    """Words for a fact mean a value of it or a requirement."""
    means = values["means"]
    if values["kind"] is AliasKind.FACT and not _is_stated(means) and not any(each in means for each in _LIMITS):
        yield Broken("means", means, "fact=value, or a requirement such as: fact at least 30")


def condition_law(values: Values, facts: Facts) -> Iterator[Broken]:
    """A condition compares in a way that its end has, with something it can compare with; lengths have their unit."""
    op = values["op"]
    if (values["end"] is End.BETWEEN) not in _ENDS[op]:
        ends = "part or target" if values["end"] is End.BETWEEN else "between"
        yield Broken("end", str(values["end"]), f"{ends}, for {op} compares {_COMPARES[False in _ENDS[op]]}")
        return
    if values["alt"] < 0:
        yield Broken("alt", str(values["alt"]), "0, or the number of a group of alternatives")
    yield from _HELD_AGAINST[op](values) if op in _HELD_AGAINST else ()
    known = facts.get(values["fact"])
    if known is not None and known.kind is FactKind.LENGTH:
        values["values_"] = [with_unit(str(each), known.unit) for each in values["values_"]]
        values["allowed"] = with_unit(values["allowed"], known.unit)


_EITHER, _ONE_END, _BOTH_ENDS = (False, True), (False,), (True,)
_COMPARES = {True: "one end with values", False: "the two ends"}
_ENDS: Mapping[Op, tuple[bool, ...]] = {
    **dict.fromkeys((Op.ANY_OF, Op.NONE_OF, Op.BEFORE, Op.FROM, Op.FRESH, Op.KNOWN), _ONE_END),
    **dict.fromkeys((Op.SAME, Op.DIFFERS, Op.WITHIN), _BOTH_ENDS),
    **dict.fromkeys((Op.AT_LEAST, Op.AT_MOST), _EITHER),
}


def _listed(values: Values) -> Iterator[Broken]:
    if not values["values_"]:
        yield Broken("values", "", f"what {values['fact']} is {values['op']}")


def _dated(values: Values) -> Iterator[Broken]:
    months = [str(each) for each in values["values_"]]
    if len(months) != 1 or not _is_time(months[0]):
        yield Broken("values", "; ".join(months), "one month such as 2007-11")


def _bounded(values: Values) -> Iterator[Broken]:
    bounds = [str(each) for each in values["values_"]]
    if not bounds:
        if not values["other_fact"] and values["end"] is not End.BETWEEN:
            yield Broken("values", "", "one number, or the fact it is held against in other_fact")
    elif len(bounds) != 1 or number(bounds[0]) is None:
        yield Broken("values", "; ".join(bounds), "one number")


def _allowed(values: Values) -> Iterator[Broken]:
    if number(values["allowed"]) is None:
        yield Broken("allowed", values["allowed"], "the allowed difference, such as 0.50 in or 12")


def _aged(values: Values) -> Iterator[Broken]:
    if age(values["allowed"]) is None:
        yield Broken("allowed", values["allowed"], "an age such as 30 d, 6 weeks, 18 months or 10 years")
    if [str(each) for each in values["values_"]] not in ([], ["no"], ["yes"]):
        yield Broken(
            "values", "; ".join(map(str, values["values_"])), "an empty cell, or no where it must not be fresh"
        )


_HELD_AGAINST: Mapping[Op, Callable[[Values], Iterator[Broken]]] = {
    **dict.fromkeys((Op.ANY_OF, Op.NONE_OF), _listed),
    **dict.fromkeys((Op.BEFORE, Op.FROM), _dated),
    **dict.fromkeys((Op.AT_LEAST, Op.AT_MOST), _bounded),
    Op.WITHIN: _allowed,
    Op.FRESH: _aged,
}
