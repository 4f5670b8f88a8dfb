"""What can go wrong when a label is drawn, saved or sent, in words for the person at the printer."""


class LabelError(Exception):
    """Base of every error of this package: a `title` saying what, a `next_step` saying what to do about it."""

    def __init__(self, title: str, next_step: str) -> None:
        super().__init__(f"{title}. {next_step}.")
        self.title = title
        self.next_step = next_step


class PayloadError(LabelError):
    """A tag that the codes on a label cannot carry."""


class SizeError(LabelError):
    """A label size, printer resolution or file kind that is not drawn."""


class PrinterError(LabelError):
    """The system's `lp` is missing, refused the job or did not answer."""
