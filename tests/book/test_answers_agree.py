"""What one answer says of a tag and a vehicle another says too, on all invented yards: ask, why and what a tag fits.

Invented data; nothing is held against an answer worked out by hand, only answers against each other.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sqlalchemy import select

from app.book.asking import ask
from app.book.reverse import FitRow, fits, standing, why
from app.book.schema import Model, Part, PartType
from app.book.telling import telling_facts
from app.book.words.linereading import OR
from app.book.work import Book, Who
from app.fit.answers import Answer, AnswerLine
from app.fit.engine import NotCompared

TODAY = date(2026, 8, 12)
C1 = Who("C1", seat="counter")
YARD_LAW = "yard law"


def tags_by_type(yard: Book) -> dict[str, list[str]]:
    """The tags of the yard by their part types."""
    found: dict[str, list[str]] = {}
    with yard.read() as session:
        rows = session.execute(select(PartType.name, Part.tag).join(Part).order_by(PartType.name, Part.tag))
        for name, tag in rows:
            found.setdefault(name, []).append(tag)
    return found


def vehicles(yard: Book, number: int) -> Iterator[tuple[str, int]]:
    """Every third model with one of its years, others for each number."""
    with yard.read() as session:
        rows = session.execute(select(Model.key, Model.year_from, Model.year_to).order_by(Model.key)).all()
    for key, first, last in rows[number % 3 :: 3]:
        yield key, first + number % (last - first + 1)


def asked(yard: Book, part_type: str, vehicle: str) -> Answer:
    return ask(yard, C1, "", vehicle=vehicle, part=part_type, on=TODAY, keep=False)


def by_tag(found: Answer) -> dict[str, AnswerLine]:
    return {line.tags[0]: line for line in (*found.answers, *found.do_not_sell)}


def of_years(rows: tuple[FitRow, ...]) -> dict[tuple[str, int], FitRow]:
    return {(row.model, year): row for row in rows for year in range(row.year_from, row.year_to + 1)}


def reasoned(yard: Book, tag: str, vehicle: str) -> AnswerLine | None:
    """What one tag comes to on a vehicle; None where nothing joins them."""
    try:
        return why(yard, tag, vehicle, on=TODAY)
    except NotCompared:
        return None


def test_an_ask_says_of_a_tag_what_is_said_of_that_tag_alone(any_yard: Book) -> None:
    """A piece of somebody else's set is told in that one's line; what is sold, held or scrap is only told of alone."""
    for number, (part_type, tags) in enumerate(tags_by_type(any_yard).items()):
        on_offer = [tag for tag in tags if not standing(any_yard, tag)]
        for model, year in vehicles(any_yard, number):
            found = asked(any_yard, part_type, f"{year} {model}")
            lines = by_tag(found)
            in_sets = {tag for line in found.answers for tag in line.tags[1:]}
            for tag in on_offer:
                alone = reasoned(any_yard, tag, f"{year} {model}")
                if tag in lines and alone is not None and set(lines[tag].tags) & set(tags) - set(alone.tags):
                    # Of lots that only together are so many as their rule needs each is short alone.
                    assert alone.grade == "set_short", (tag, year, model)
                elif tag in lines:
                    assert lines[tag] == alone, (tag, year, model)
                else:
                    assert alone is None or tag in in_sets, (tag, year, model)


def test_a_tag_fits_what_it_is_said_to_fit_when_asked_for_it(any_yard: Book) -> None:
    """Of what law forbids everywhere only its own family is listed; no two models are told by one name and year."""
    for number, tags in enumerate(tags_by_type(any_yard).values()):
        tag = tags[number % len(tags)]
        rows = of_years(fits(any_yard, tag, on=TODAY))
        named: dict[tuple[str, int], str] = {}
        for (model, year), row in rows.items():
            assert named.setdefault((row.vehicle, year), model) == model, (tag, row.vehicle, year)
        for model, year in vehicles(any_yard, number):
            alone, told = reasoned(any_yard, tag, f"{year} {model}"), rows.get((model, year))
            if told is None:
                assert alone is None or YARD_LAW in alone.rules, (tag, year, model)
            else:
                assert alone is not None, (tag, year, model)
                assert (told.line.grade, told.line.rules) == (alone.grade, alone.rules), (tag, year, model)
                assert told.kept or told.line.say == alone.say, (tag, year, model)


def _told(found: Answer, fact: str) -> str:
    """What was understood of a fact, "side" and "built" among them."""
    asked = found.asked
    return {**asked.facts, "side": str(asked.side), "built": asked.built or ""}.get(fact, "")


def test_every_choice_that_is_listed_for_a_fact_is_taken_and_understood_behind_its_name(any_yard: Book) -> None:
    """Behind its name in a line of words several may be left open, of which it is one; asked for is a requirement."""
    seen: set[tuple[str, tuple[str, ...]]] = set()
    for part_type in tags_by_type(any_yard):
        for fact in telling_facts(any_yard, part_type):
            assert fact.question.endswith("?"), fact
            if (fact.fact, fact.choices) in seen:
                continue
            seen.add((fact.fact, fact.choices))
            model, year = next(vehicles(any_yard, 0))
            for choice in fact.choices:
                stated = ask(
                    any_yard, C1, "", vehicle=f"{year} {model}", part=part_type, facts={fact.fact: choice}, keep=False
                )
                assert _told(stated, fact.fact) == choice, (part_type, fact.fact, choice)
                said = ask(any_yard, C1, f"{year} {model} {part_type}, {fact.fact} {choice}", keep=False)
                heard = (*_told(said, fact.fact).split(OR), *said.asked.wants)
                # "rear air control digital" is the name of a part as well.
                assert said.asked.several_parts or any(choice in each for each in heard), said.asked.words
                assert not said.asked.not_understood, said.asked.words


def test_a_choice_that_is_asked_for_settles_what_it_is_said_to_settle(any_yard: Book) -> None:
    """It is asked in the words by which it is listed, each choice of it is taken, and what is promised then is so."""
    for number, part_type in enumerate(tags_by_type(any_yard)):
        listed = {each.fact: each.question for each in telling_facts(any_yard, part_type)}
        for model, year in vehicles(any_yard, number):
            vehicle = f"{year} {model}" if year % 2 else model
            found = asked(any_yard, part_type, vehicle)
            for question in found.questions:
                assert question.fact in {*listed, "part", "vehicle", "year"}, (part_type, question.fact)
                assert question.words == listed.get(question.fact, question.words)
                for choice in question.choices if question.fact not in ("part", "vehicle") else ():
                    ask(any_yard, C1, "", vehicle=vehicle, part=part_type, facts={question.fact: choice}, keep=False)
            for line in found.answers:
                for said in line.right_if:
                    _assert_so(any_yard, part_type, vehicle, line.tags[0], said)


def _assert_so(yard: Book, part_type: str, vehicle: str, tag: str, said: str) -> None:
    """What a tag is said to come to if something is so, it comes to where that is stated."""
    grade, _, when = said.partition(" if ")
    facts = dict(map(_fact, when.replace(", ", " and ").split(" and ")))
    if "model" in facts:
        return
    found = ask(yard, C1, "", vehicle=vehicle, part=part_type, facts=facts, on=TODAY, keep=False)
    grades = {line.grade.said for line in (*found.answers, *found.do_not_sell) if tag in line.tags}
    assert grade in grades, (tag, vehicle, said)


def _fact(clause: str) -> tuple[str, str]:
    """A clause of a sentence as a fact and its value: "the plug is square", "it has rear air", "it was built ..."."""
    if clause.startswith("it was built "):
        return "built", clause.removeprefix("it was built ")
    if clause.startswith("it has "):
        name = clause.removeprefix("it has ")
        return name.removeprefix("no "), "no" if name.startswith("no ") else "yes"
    if clause.startswith("the "):
        name, _, value = clause.removeprefix("the ").replace(" are ", " is ", 1).partition(" is ")
        return name, value
    return "model", clause
