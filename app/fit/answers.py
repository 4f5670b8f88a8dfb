"""What an ask comes to: what was understood, the graded lines, the question that would decide."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import datetime
from decimal import Decimal

from app.fit.making import record
from app.fit.terms import Condition, Grade, Side


@record(frozen=True, slots=True)
class Chip:
    """One thing understood from the customer's words: a field, its value, and the words it came from."""

    field: str
    value: str
    said: str


@record(frozen=True, slots=True)
class Meaning:
    """A word that points to several things; the counter picks one.

    `unknown` is a longer name that the yard does not have, such as "water pump", with what its last word alone means.
    """

    said: str
    field: str
    choices: tuple[str, ...]
    unknown: bool = False

    @property
    def question(self) -> str:
        """What is asked back."""
        return f"The book has no “{self.said}”. Is it this?" if self.unknown else f"“{self.said}”: which one?"


@record(frozen=True, slots=True)
class Asked:
    """What was understood of an ask, by field; nothing that was said is dropped silently.

    `built` is a month, or the time it lies in: "2007-06", "before 2007-06", "2007-06 or later", "2007-06 to 2008-12".
    `carries` names for a group (frame, nose …) the models whose it may be, where that is not the vehicle's own,
    `carried_years` the model years of such a group, where they were said, and `carried_dates` its own build month and
    plant, either empty where nobody knows it.
    `years` are the model years left open where several were said ("07 or 08"); `year` is one that beats them.
    """

    words: str
    part_types: tuple[str, ...] = ()
    side: Side = Side.NONE
    year: int | None = None
    built: str | None = None
    models: tuple[str, ...] = ()
    facts: Mapping[str, str] = field(default_factory=dict)
    wants: tuple[str, ...] = ()
    quantity: int | None = None
    chips: tuple[Chip, ...] = ()
    meanings: tuple[Meaning, ...] = ()
    not_understood: tuple[str, ...] = ()
    carries: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    carried_years: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    carried_dates: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    years: tuple[int, ...] = ()

    @property
    def said_years(self) -> tuple[int, ...]:
        """Every model year it may be; empty where none was said."""
        return (self.year,) if self.year is not None else self.years

    @property
    def several_parts(self) -> bool:
        """True when more than one part was asked for, so that a line must say which it is."""
        return sum(chip.field == "part" for chip in self.chips) > 1


@record(frozen=True, slots=True)
class Question:
    """One look, count or measurement that would change the answer, in the customer's words.

    `choices` are values as a fact takes them; a build month is asked for by the times that tell ("before 2009-01").
    `splits` is how many lines an answer settles, where answers differ the most that one of them does.
    """

    fact: str
    words: str
    choices: tuple[str, ...]
    splits: int


@record(frozen=True, slots=True)
class WorkLine:
    """Work to be done, with its hours."""

    work: str
    hours: Decimal | None
    by_whom: str = ""


@record(frozen=True, slots=True)
class AnswerLine:
    """One answer: the tags that go together, the grade, and everything it stands on; money in cents.

    `missing` names the companions that are not in stock and the pieces gone from a lump; `stands_on` are the rules of
    the grade itself, `chain` the links of one (a turned one ends with " back"), `models` and `year` the vehicle it was
    given for, as far as it is known, `right_if` what it comes to under each look that would decide.
    """

    tags: tuple[str, ...]
    names: tuple[str, ...]
    grade: Grade
    price_cents: int
    core_cents: int
    condition: Condition
    where: tuple[str, ...]
    donors: tuple[str, ...]
    seen_days: int | None
    say: str
    reasons: tuple[str, ...] = ()
    rules: tuple[str, ...] = ()
    evidence: tuple[str, ...] = ()
    operations: tuple[WorkLine, ...] = ()
    companions: tuple[str, ...] = ()
    consequences: tuple[str, ...] = ()
    unknowns: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    missing: tuple[str, ...] = ()
    stands_on: tuple[str, ...] = ()
    chain: tuple[str, ...] = ()
    models: tuple[str, ...] = ()
    year: int | None = None
    right_if: tuple[str, ...] = ()

    def as_record(self) -> dict[str, object]:
        """The line as plain data; money in dollars."""
        return {
            "tags": list(self.tags),
            "grade": str(self.grade),
            "price": self.price_cents / 100,
            "core": self.core_cents / 100,
            "condition": str(self.condition),
            "where": list(self.where),
            "donors": list(self.donors),
            "seen_days": self.seen_days,
            "say": self.say,
            "reasons": list(self.reasons),
            "rules": list(self.rules),
            "evidence": list(self.evidence),
            "operations": [
                {"work": each.work, "hours": float(each.hours) if each.hours is not None else None, "by": each.by_whom}
                for each in self.operations
            ],
            "companions": list(self.companions),
            "missing": list(self.missing),
            "consequences": list(self.consequences),
            "unknowns": list(self.unknowns),
            "cautions": list(self.cautions),
            "facts": dict(self.facts),
        }


@record(frozen=True, slots=True)
class Kept:
    """A tag that is not offered because somebody has it; `until` is when that ends of itself, if it does."""

    tag: str
    name: str
    words: str
    until: datetime | None = None


@record(frozen=True, slots=True)
class Answer:
    """The whole answer to an ask; `answers` in rank order, `do_not_sell` apart."""

    asked: Asked
    questions: tuple[Question, ...] = ()
    answers: tuple[AnswerLine, ...] = ()
    not_what_was_asked: tuple[AnswerLine, ...] = ()
    do_not_sell: tuple[AnswerLine, ...] = ()
    kept: tuple[Kept, ...] = ()
    counted: tuple[int, int] = (0, 0)

    def as_record(self) -> dict[str, object]:
        """The answer as plain data, the object that `donorbook ask --json` prints."""
        return {
            "asked": _asked_record(self.asked),
            "questions": [
                {
                    "fact": each.fact,
                    "words": each.words,
                    "choices": list(each.choices),
                    "splits": each.splits,
                }
                for each in self.questions
            ],
            "answers": [line.as_record() for line in self.answers],
            "not_what_was_asked": [line.as_record() for line in self.not_what_was_asked],
            "do_not_sell": [line.as_record() for line in self.do_not_sell],
            "kept": [{"tag": each.tag, "name": each.name, "words": each.words} for each in self.kept],
            "counted": {"shown": self.counted[0], "of": self.counted[1]},
        }


def _asked_record(asked: Asked) -> dict[str, object]:
    return {
        "words": asked.words,
        "part": list(asked.part_types),
        "side": str(asked.side),
        "year": asked.year,
        "years": list(asked.said_years),
        "built": asked.built,
        "vehicle": list(asked.models),
        "carries": {group: list(models) for group, models in asked.carries.items()},
        "facts": dict(asked.facts),
        "wants": list(asked.wants),
        "quantity": asked.quantity,
        "chips": [{"field": chip.field, "value": chip.value, "said": chip.said} for chip in asked.chips],
        "meanings": [
            {"said": each.said, "field": each.field, "choices": list(each.choices)} for each in asked.meanings
        ],
        "not_understood": list(asked.not_understood),
    }
