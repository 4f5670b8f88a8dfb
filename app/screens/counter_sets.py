"""Sets at the counter: quoted and held as one, and the list of those open."""

from __future__ import annotations

from collections.abc import Mapping

from app.book.accepting import Acceptance, against, refuse_by_law_alone
from app.book.behind import behind
from app.book.quotes import quote
from app.errors import BadInput, YardError
from app.fit.answers import AnswerLine
from app.screens.counter_sheets import accepted_blanks, accepted_words, unaccepted
from app.screens.counter_till import Done, Till
from app.screens.parts.form import Blank
from app.screens.parts.sheets import FormSheet


class Sets(Till):
    """What the counter does with several tags as one."""

    def quote_line(self, line: AnswerLine) -> None:
        """Ask for whom an answer is quoted; it keeps nothing."""
        try:
            refuse_by_law_alone(self.book, [line])
        except YardError as error:
            self.house.trouble(error)
            return
        tags = " + ".join(line.tags)
        blanks = [Blank("name", "name"), Blank("phone", "phone", hint="may be empty"), *accepted_blanks([line])]
        words = unaccepted([line])
        sheet = FormSheet(
            f"Quote {tags}", blanks, draft=f"quote {tags}", words=words, check=lambda values: _check(values, line)
        )

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self.writes("quote", lambda: self._quoted(line, values, sheet.draft))

        self.app.push_screen(sheet, filled)

    def _quoted(self, line: AnswerLine, values: Mapping[str, str], draft: str) -> Done:
        row = quote(
            self.book, self.who, line.tags, values["name"], values["phone"],
            price_cents=line.price_cents, grade=str(line.grade), behind=behind(line),
            accepted=Acceptance(against(line), accepted_words(values, [line])),
        )  # fmt: skip
        return Done(row.words, draft)

    def action_sets(self) -> None:
        """The open quotes and held sets."""
        from app.screens.sets_view import SetsView

        self.app.push_screen(SetsView(self.book, self.who))


def _check(values: Mapping[str, str], line: AnswerLine) -> None:
    if not values["name"].strip():
        raise BadInput("a quote needs a name", "Say for whom.", place="name")
    accepted_words(values, [line])
