"""What a customer must accept in writing before a part has a price: that it won't fit, or that a set is short."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from app.book.behind import Behind, behind
from app.book.lawful import is_law
from app.book.work import Book, Work
from app.errors import Refused
from app.fit.answers import AnswerLine
from app.fit.terms import QUOTABLE, Grade

SHORT_OF = "short of "
OTHER = "Offer another."


@dataclass(frozen=True, slots=True)
class Acceptance:
    """What speaks against a part on the vehicle stated, and the customer's written words that accept it.

    `against` empty: nothing does.
    """

    against: str = ""
    words: str = ""

    @property
    def said(self) -> str:
        """As it stands on a ticket; empty where nothing had to be accepted."""
        return f"{self.against}; accepted in writing: {self.words.strip()}" if self.against else ""


NOTHING_AGAINST = Acceptance()
"""Nothing speaks against a part, and nothing was accepted."""


def against(line: AnswerLine) -> str:
    """Why an answer has no price until the customer accepts it in writing; empty where it has one.

    What is missing from a set is named where the set is needed in one way it may be, too; of what surely goes on as it
    stands only such pieces are gone as it does without, and its price is less by theirs.
    """
    if line.grade is Grade.WONT_FIT:
        return "; ".join((Grade.WONT_FIT.said, *line.reasons))
    if line.missing and line.grade not in QUOTABLE:
        return f"{SHORT_OF}{', '.join(line.missing)}"
    if line.grade is Grade.SET_SHORT:
        return "; ".join((Grade.SET_SHORT.said, *line.reasons))
    return ""


def stood_on(line: AnswerLine | None) -> Behind | None:
    """What a word of "won't fit" stands on; None for every other answer."""
    return behind(line) if line is not None and line.grade is Grade.WONT_FIT else None


def refuse_by_law_alone(book: Book, lines: Iterable[AnswerLine]) -> None:
    """Ask nobody to accept in writing what law forbids on the vehicle stated.

    Raises:
        Refused: law speaks against one of the answers, which nobody can set aside.
    """
    with book.read() as session:
        for line in lines:
            if line.grade is Grade.WONT_FIT and is_law(session, behind(line)):
                names = " + ".join(line.tags)
                raise Refused(f"{names} must not be sold: {against(line)}", OTHER, action="sell", subject=names)


def refuse_unaccepted(
    work: Work, tags: Iterable[str], accepted: Acceptance, grade: str, stands_on: Behind | None, action: str
) -> None:
    """Let nothing through that won't fit the vehicle stated, or is short, unless that was accepted in writing.

    Raises:
        Refused: it was not, or it is law that speaks against it, which nobody can set aside by accepting it.
    """
    unsaid = grade if grade in (Grade.WONT_FIT, Grade.SET_SHORT) else ""
    why = accepted.against or (Grade(unsaid).said if unsaid else "")
    if not why:
        return
    names = " + ".join(tags)
    if grade == Grade.WONT_FIT and is_law(work.session, stands_on):
        raise Refused(f"{names} must not be sold: {why}", OTHER, action=action, subject=names)
    if not accepted.words.strip():
        remedy = "It has no price until the customer accepts that in writing; then write his words down as accepted."
        raise Refused(f"{names}: {why}", remedy, action=action, subject=names, place="accepted")
