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


def which(book: Book) -> Question:
    """Which design a piece is."""
    blanks = (
        Blank("part", "part type", hint="such as: rear driveshaft yoke and joint"),
        *(Blank(f"read {n}", f"reading {n}", hint="joint cap to cap=3 5/8@dial caliper") for n in (1, 2, 3, 4)),
    )
    words = "Each reading is fact=value, a length with @tool where it was no hook tape."
    return Question("Which one is this?", blanks, lambda typed: _which(book, typed), words)


def _which(book: Book, typed: Mapping[str, str]) -> Iterator[str]:
    reads = [_read(typed[name], name) for name in typed if name.startswith("read") and typed[name].strip()]
    found = which_part(book, typed["part"], reads)
    yield found.words
    for each in found.candidates:
        clashes = f", clashes: {', '.join(each.clashes)}" if each.clashes else ""
        yield f"{each.probability:.0%}  {each.code}, {each.name}{clashes}"
    for ask in (each.ask for each in found.next[:MOST_ASKED]):
        yield f"next: {ask.fact}{f', {ask.tool}' if ask.tool else ''}: {ask.question}".rstrip(": ")
    yield f"caution: {found.caution}"


def _read(said: str, place: str) -> Read:
    fact, equals, rest = said.partition("=")
    if not equals:
        raise BadInput(f"{said!r} is no fact=value", "Write it like joint cap to cap=3 5/8.", place=place)
    value, at, tool = rest.rpartition("@")
    return Read(fact.strip(), (value if at else rest).strip(), tool.strip() if at else "")
