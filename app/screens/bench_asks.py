"""The bench's short questions: two rails held against each other, an arm swap, which design a piece is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from app.book.which import Read, which_part
from app.book.work import Book
from app.errors import BadInput
from app.fit.lengths import parse_length
from app.screens.parts.form import Blank

MOST_ASKED = 3
TOOL = "@"
"""What stands between a length and the tool it was taken with."""
RAIL_HINT = "boxed 7.10x2.90x0.150, open 8.25x2.80x0.220, tube 3x0.12"


@dataclass(frozen=True, slots=True)
class Question:
    """A question of the bench: its title, its blanks, and how it is answered in lines."""

    title: str
    blanks: tuple[Blank, ...]
    answer: Callable[[Mapping[str, str]], Iterator[str]]
    words: str = ""


def sections() -> Question:
    """Two rails: which is stronger."""
    blanks = (Blank("first", "rail", hint=RAIL_HINT), Blank("other", "against", hint=RAIL_HINT))
    words = "Outside sizes; inches unless a unit is typed."
    return Question("Boxed or open: which is stronger?", blanks, _sections, words)


def _sections(typed: Mapping[str, str]) -> Iterator[str]:
    from app.fit.sections.build import read_rail
    from app.fit.sections.compare import WARPING, WELDING, compare_rails

    rails = {name: read_rail(typed[name]) for name in ("first", "other")}
    found = compare_rails(rails["first"], rails["other"])
    yield f"{found.first}"
    yield f"against {found.second}:"
    yield found.words
    if rails["first"].closed != rails["other"].closed:
        yield WARPING
    yield f"caution: {WELDING}"


def arms() -> Question:
    """An arm swap by the simple figure."""
    blanks = (
        Blank("ball_height", "ball to ball", hint="from ball joint to ball joint, such as 10 1/2"),
        Blank("lower_by", "lower arm by", value="0", hint="how much longer the other is; a minus for shorter"),
        Blank("upper_by", "upper arm by", value="0", hint="how much longer the other is; a minus for shorter"),
        Blank("cams", "cams", hint="degrees the adjusters take out either way; may stay empty"),
        Blank("thread_out", "thread out", hint="what the tie-rod end can still come out; may stay empty"),
        Blank("plunge_out", "plunge out", hint="what the half-shaft has outward; may stay empty"),
    )
    return Question("What does an arm swap do?", blanks, _arms, "Pivots and travel: donorbook arms.")


def _arms(typed: Mapping[str, str]) -> Iterator[str]:
    from app.fit.suspension.swap import Reach, simple_swap
    from app.fit.suspension.words import ALIGNMENT, sentences

    reach = Reach(_degrees(typed["cams"]), _mm(typed, "thread_out"), None, _mm(typed, "plunge_out"))
    height = _mm(typed, "ball_height")
    if height is None:
        raise BadInput("from ball joint to ball joint is not said", "Measure it.", place="ball_height")
    found = simple_swap(height, _mm(typed, "lower_by") or 0.0, _mm(typed, "upper_by") or 0.0, reach)
    yield from sentences(found)
    yield f"caution: {ALIGNMENT}"


def _mm(typed: Mapping[str, str], name: str) -> float | None:
    said = typed[name].strip()
    if not said:
        return None
    try:
        return parse_length(said, signed=True).mm
    except BadInput as error:
        error.place = name
        raise


def _degrees(said: str) -> float | None:
    if not said.strip():
        return None
    try:
        return float(said)
    except ValueError:
        raise BadInput(f"{said!r} is no number of degrees", "Type it like 1.75.", place="cams") from None


def which(book: Book, part_type: str) -> Question:
    """Which design a piece of a part type is: a blank for everything that its designs differ in, the best one first.

    Raises:
        NotFound: no part type has that name. LookalikeError: the book has no design of it.
    """
    asks = which_part(book, part_type, ()).next
    told = {each.ask.fact: each.ask.question for each in asks}
    blanks = tuple(Blank(fact, fact, hint=question) for fact, question in told.items())
    words = f"What was looked at or measured; the rest stays empty. A length: its tool after {TOOL}, else hook tape."
    return Question(f"Which {part_type} is this?", blanks, lambda typed: _which(book, part_type, typed), words)


def _which(book: Book, part_type: str, typed: Mapping[str, str]) -> Iterator[str]:
    found = which_part(book, part_type, [_read(fact, said.strip()) for fact, said in typed.items() if said.strip()])
    yield found.words
    for each in found.candidates:
        clashes = f", clashes: {', '.join(each.clashes)}" if each.clashes else ""
        yield f"{each.probability:.0%}  {each.code}, {each.name}{clashes}"
    for ask in (each.ask for each in found.next[:MOST_ASKED]):
        yield f"next: {ask.fact}{f', {ask.tool}' if ask.tool else ''}: {ask.question}".rstrip(": ")
    yield f"caution: {found.caution}"


def _read(fact: str, said: str) -> Read:
    value, _, tool = said.partition(TOOL)
    return Read(fact, value.strip(), tool.strip())
