"""A fault of the program itself, told as one line like any other trouble."""

from __future__ import annotations

from app.errors import YardError

_MOST_SAID = 100


class Stumbled(YardError):
    """A fault of the program itself, told in one line; nothing of it is in the book."""

    kind = "fault"

    def __init__(self, error: BaseException | None) -> None:
        first = next(iter(str(error).splitlines()), "")
        said = first if len(first) <= _MOST_SAID else f"{first[:_MOST_SAID]}…"
        super().__init__(
            f"The program stumbled: {type(error).__name__}: {said}",
            "Nothing was half done. Try once more; if it stays, run: donorbook check.",
        )
