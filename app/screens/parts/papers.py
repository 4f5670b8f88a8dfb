"""Papers at a desk: sent to the printer, and saved as a file where there is none."""

from __future__ import annotations

from pathlib import Path

from app.book.papers import Paper, PaperTrouble, draw_paper, print_paper, vehicle_paper
from app.book.work import Book, Who
from app.errors import YardError


def papers_folder() -> Path:
    """Where papers are saved that no printer took; made when it is missing."""
    from platformdirs import user_data_path

    folder = user_data_path("donorbook", appauthor=False) / "papers"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def save_paper(book: Book, paper: Paper, suffix: str = ".pdf") -> Path:
    """Draw a paper into the papers folder, as .pdf or .png.

    Raises:
        PaperTrouble, BadInput: it cannot be drawn or written.
    """
    return draw_paper(book, paper, papers_folder() / f"{paper.tag}{suffix}")


def send_paper(book: Book, who: Who, paper: Paper, reason: str = "") -> str:
    """Send a paper to the printer, or save it where there is none; what was done, in words.

    Raises:
        BadInput: a second copy without a reason. PaperTrouble: it cannot be drawn.
    """
    try:
        return print_paper(book, who, paper, reason=reason).words
    except PaperTrouble as trouble:
        return f"{paper.kind} {paper.tag} saved, no printer took it ({trouble.title}): {save_paper(book, paper)}"


def paper_of_vehicle(book: Book, who: Who, stock_number: str) -> str:
    """The label of a vehicle that was just taken in; a label in trouble never undoes the taking in."""
    try:
        print_paper(book, who, vehicle_paper(book, stock_number))
    except PaperTrouble:
        return _saved_label(book, stock_number)
    except YardError as error:
        return f"no label: {error.in_one_line()}"
    return "label sent to the printer"


def _saved_label(book: Book, stock_number: str) -> str:
    try:
        return f"label saved as {save_paper(book, vehicle_paper(book, stock_number)).name}, no printer took it"
    except YardError as error:
        return f"no label: {error.in_one_line()}"
