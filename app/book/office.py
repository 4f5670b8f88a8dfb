"""The owner's desk: the yard's settings, seen and changed."""

from __future__ import annotations

from dataclasses import dataclass, fields

from sqlalchemy import select

from app.book.people import only_owner
from app.book.schema import Setting
from app.book.settings import Settings, load_settings, read_value
from app.book.versions import VERSION
from app.book.work import Book, Who


@dataclass(frozen=True, slots=True)
class SettingRow:
    """A setting in force and the one the program comes with, both as text."""

    name: str
    value: str
    usual: str

    @property
    def words(self) -> str:
        """The name as it is read, with its unit at the end."""
        return self.name.replace("_", " ")


def settings(book: Book) -> tuple[SettingRow, ...]:
    """Every setting in the order the program keeps them."""
    with book.read() as session:
        now = load_settings(session)
    return tuple(
        SettingRow(field.name, str(getattr(now, field.name)), str(field.default)) for field in fields(Settings)
    )


def change_setting(book: Book, who: Who, name: str, value: str) -> SettingRow:
    """Change a setting; what was before stays in the history.

    Raises:
        Refused: anybody but the owner.
        BadInput: no such setting, or no number where one is needed.
    """
    plain = value.strip()
    with book.write(who) as work:
        only_owner(who, "setting", name)
        read_value(name, plain)
        before = str(getattr(load_settings(work.session), name))
        row = work.session.scalar(select(Setting).where(Setting.name == name)) or Setting(name=name)
        row.value = plain
        work.session.add(row)
        # What is kept of the measured frames goes by the allowances that are set.
        work.number(VERSION)
        work.note("setting", name, f"{name.replace('_', ' ')} is now {plain or 'empty'}, was {before or 'empty'}")
    return next(each for each in settings(book) if each.name == name)
