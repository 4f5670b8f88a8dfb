"""Bringing an older book to this program's schema."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Engine

from app.book.reach.closure import rebuild


def bring_up(engine: Engine) -> Path | None:
    """Bring a book to the newest schema, and make anew what is worked out from its rules.

    Returns the backup's path, or None where there was nothing to back up or the server keeps backups.
    """
    from migrations.run import upgrade

    backup = upgrade(engine)
    with engine.begin() as connection:
        rebuild(connection)
    return backup
