"""Sets at the counter: quoted and held as one, and the list of those open."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.book.accepting import Acceptance, against, refuse_by_law_alone
from app.book.behind import behind
from app.book.quotes import Quoted, quote_together
from app.errors import BadInput, YardError
from app.fit.answers import AnswerLine
from app.screens.counter_sheets import accepted_blanks, accepted_words, of_basket, tags_of, unaccepted
from app.screens.counter_till import Done, Till
from app.screens.parts.form import Blank
from app.screens.parts.sheets import FormSheet


class Sets(Till):
    """What the counter does with several tags as one."""

    def quote_lines(self, lines: Sequence[AnswerLine]) -> None:
        """Ask for whom answers are quoted as one; it keeps nothing."""
        try:
            refuse_by_law_alone(self.book, lines)
        except YardError as error:
            self.house.trouble(error)
            return
        tags = tags_of(lines)
        blanks = [Blank("name", "name"), Blank("phone", "phone", hint="may be empty"), *accepted_blanks(lines)]
        sheet = FormSheet(
            f"Quote {of_basket(lines)}", blanks, draft=f"quote {tags}", words=unaccepted(lines),
            check=lambda values: _check(values, lines),
        )  # fmt: skip

        def filled(values: Mapping[str, str] | None) -> None:
            if values is not None:
                self.writes("quote", lambda: self._quoted(lines, values, sheet.draft))

        self.app.push_screen(sheet, filled)

    def _quoted(self, lines: Sequence[AnswerLine], values: Mapping[str, str], draft: str) -> Done:
        words = accepted_words(values, lines)
        answers = [
            Quoted(line.tags, line.price_cents, str(line.grade), behind(line), Acceptance(against(line), words))
            for line in lines
        ]
        row = quote_together(self.book, self.who, answers, values["name"], values["phone"])
        return Done(row.words, draft)

    def action_sets(self) -> None:
        """The open quotes and held sets."""
        from app.screens.sets_view import SetsView

        self.app.push_screen(SetsView(self.book, self.who))


def _check(values: Mapping[str, str], lines: Sequence[AnswerLine]) -> None:
    if not values["name"].strip():
        raise BadInput("a quote needs a name", "Say for whom.", place="name")
    accepted_words(values, lines)
