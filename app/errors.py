"""The one error base: every failure that a person can mend has a title and a next step."""

from __future__ import annotations


class YardError(Exception):
    """Something the yard refuses or cannot do, told in words.

    `title` says what is wrong, `remedy` what to do next, `place` where it is (a field, a file and
    line, a tag), and `details` carries the figures for `--json`.
    """

    kind = "error"

    def __init__(
        self, title: str, remedy: str = "", *, place: str = "", details: dict[str, object] | None = None
    ) -> None:
        super().__init__(title)
        self.title = title
        self.remedy = remedy
        self.place = place
        self.details = details or {}

    def in_one_line(self) -> str:
        """The error as one line: place, title, remedy."""
        head = f"{self.place}: {self.title}" if self.place else self.title
        line = f"{head}. {self.remedy}" if self.remedy else head
        return " ".join(line.split())

    def as_record(self) -> dict[str, object]:
        """The error as plain data for `--json`."""
        return {
            "kind": self.kind,
            "title": self.title,
            "remedy": self.remedy,
            "place": self.place,
            "details": self.details,
        }


class BadInput(YardError):
    """What was typed cannot be read or cannot be true."""

    kind = "bad_input"


class NotFound(YardError):
    """Nothing in the book has that name or number."""

    kind = "not_found"


class Refused(YardError):
    """The yard's rules or the law say no. The refusal itself is written to the history.

    `action` is the verb of the history line ("torch", "purchase", "vin"); `subject` what it was about.
    """

    kind = "refused"

    def __init__(
        self,
        title: str,
        remedy: str = "",
        *,
        action: str,
        subject: str = "",
        place: str = "",
        details: dict[str, object] | None = None,
    ) -> None:
        super().__init__(title, remedy, place=place, details=details)
        self.action = action
        self.subject = subject


class BookTrouble(YardError):
    """The book itself cannot be opened, is of another version, or is damaged."""

    kind = "book"
