"""Whether a book is whole: what must hold between its tables, asked in plain SQL that the program does not use."""

from __future__ import annotations

from sqlalchemy import Connection, text

from app.book.work import Book

# Each query gives the rows that must not be, with a word for what is wrong with them.
WRONG = {
    "a part is sold without exactly one live line of a paid ticket": """
        SELECT p.tag FROM parts p WHERE p.standing = 'sold' AND 1 <> (
            SELECT count(*) FROM sale_lines l JOIN sale_tickets t ON t.id = l.ticket_id
            WHERE l.part_id = p.id AND l.live AND t.state = 'paid')""",
    "a live line of a paid ticket has a part that is not sold": """
        SELECT p.tag FROM parts p JOIN sale_lines l ON l.part_id = p.id JOIN sale_tickets t ON t.id = l.ticket_id
        WHERE l.live AND t.state = 'paid' AND p.standing <> 'sold'""",
    "a part is on two live lines": """
        SELECT part_id FROM sale_lines WHERE live GROUP BY part_id HAVING count(*) > 1""",
    "a part waits for a ticket that is not there": """
        SELECT p.tag FROM parts p WHERE p.standing = 'on ticket' AND NOT EXISTS (
            SELECT 1 FROM sale_lines l WHERE l.part_id = p.id AND l.live)""",
    "a paid ticket's lines do not add up to it": """
        SELECT t.number FROM sale_tickets t WHERE t.state = 'paid' AND t.parts_cents <> (
            SELECT coalesce(sum(l.price_cents), 0) FROM sale_lines l WHERE l.ticket_id = t.id)""",
    "a paid ticket without exactly one history line": """
        SELECT t.number FROM sale_tickets t WHERE t.state = 'paid' AND 1 <> (
            SELECT count(*) FROM history h WHERE h.action = 'sell' AND h.outcome = 'done'
            AND h.subject = 'ticket ' || t.number)""",
    "a sale in the history without its ticket": """
        SELECT h.subject FROM history h WHERE h.action = 'sell' AND h.outcome = 'done' AND NOT EXISTS (
            SELECT 1 FROM sale_tickets t WHERE h.subject = 'ticket ' || t.number)""",
    "a held part without exactly one open hold, or the other way round": """
        SELECT p.tag FROM parts p WHERE (CASE WHEN p.standing = 'held' THEN 1 ELSE 0 END) <> (
            SELECT count(*) FROM holds h WHERE h.part_id = p.id AND h.ended_at IS NULL)""",
    "a hold without its history line": """
        SELECT h.number FROM holds h JOIN parts p ON p.id = h.part_id WHERE NOT EXISTS (
            SELECT 1 FROM history y WHERE y.action = 'hold' AND y.subject = p.tag)""",
    "a weight ticket without exactly one history line": """
        SELECT w.number FROM weight_tickets w WHERE 1 <> (
            SELECT count(*) FROM history h WHERE h.subject = 'weight ticket ' || w.number)""",
    "a number was given out and not used, or used and not given out": """
        SELECT c.series, c.last FROM counters c WHERE
            (c.series = 'sale_tickets' AND c.last <> (SELECT count(*) FROM sale_tickets))
            OR (c.series = 'weight_tickets' AND c.last <> (SELECT count(*) FROM weight_tickets))
            OR (c.series = 'holds' AND c.last <> (SELECT count(*) FROM holds))""",
}


def faults(book: Book) -> list[str]:
    """What is wrong in the book, in words; empty when it is whole."""
    with book.engine.connect() as connection:
        found = [
            f"{words}: {', '.join(str(tuple(row)) for row in rows[:5])}"
            for words, query in WRONG.items()
            if (rows := connection.execute(text(query)).all())
        ]
        return [*found, *_faults_of_the_file(connection)]


def _faults_of_the_file(connection: Connection) -> list[str]:
    if connection.dialect.name != "sqlite":
        return []
    said = connection.scalar(text("PRAGMA integrity_check"))
    orphans = connection.execute(text("PRAGMA foreign_key_check")).all()
    return ([] if said == "ok" else [f"the file is damaged: {said}"]) + [f"an orphan: {row}" for row in orphans]


def standings(book: Book) -> dict[str, str]:
    """The standing of every part by its tag."""
    with book.read() as session:
        return {row.tag: row.standing for row in session.execute(text("SELECT tag, standing FROM parts"))}
