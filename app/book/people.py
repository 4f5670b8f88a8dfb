"""Who works here and what each may do."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.schema import Person, Role
from app.book.work import Book, Who
from app.errors import BadInput, NotFound, Refused

FIRST_PERSON = "OW"


@dataclass(frozen=True, slots=True)
class PersonRow:
    """A person as the screens see one."""

    code: str
    name: str
    role: Role


def people(book: Book) -> tuple[PersonRow, ...]:
    """Everybody who works here now, by code."""
    with book.read() as session:
        rows = session.scalars(select(Person).where(Person.active).order_by(Person.code))
        return tuple(PersonRow(row.code, row.name, row.role) for row in rows)


def who_is(book: Book, code: str | None, seat: str) -> Who:
    """The person at a seat. A book nobody is written into yet belongs to its owner, OW.

    Raises:
        NotFound: nobody of that code works here.
    """
    with book.read() as session:
        if code is None:
            return _usual(session, seat)
        person = session.scalar(select(Person).where(Person.code == code.upper(), Person.active))
    if person is None:
        if code.upper() == FIRST_PERSON:
            return Who(FIRST_PERSON, Role.OWNER, seat)
        raise NotFound(f"nobody here is called {code}", "Take the code of somebody who works here.", place="who")
    return Who(person.code, person.role, seat)


def _usual(session: Session, seat: str) -> Who:
    owner = session.scalar(select(Person).where(Person.role == Role.OWNER, Person.active).order_by(Person.id))
    return Who(owner.code if owner else FIRST_PERSON, Role.OWNER, seat)


def sign_on(book: Book, who: Who, code: str, name: str, role: Role) -> PersonRow:
    """Write a person into the book, or change the name or role of one who is there."""
    code = code.strip().upper()
    if not code or len(code) > 4:
        raise BadInput(f"{code!r} is no code for a person", "Take one to four capitals and digits.", place="code")
    with book.write(who) as work:
        only_owner(work.who, "people", code)
        person = work.session.scalar(select(Person).where(Person.code == code))
        if person is None:
            person = Person(code=code, name=name, role=role)
            work.session.add(person)
        person.name, person.role, person.active = name, role, True
        work.note("sign on", code, f"{name} is {role} here")
    return PersonRow(code, name, role)


def person_id(session: Session, code: str) -> int:
    """The row of a person; the owner of a new book is written in at the first need."""
    found = session.scalar(select(Person.id).where(Person.code == code))
    if found is not None:
        return found
    person = Person(code=code, name="owner", role=Role.OWNER)
    session.add(person)
    session.flush()
    return person.id


def only_owner(who: Who, action: str, subject: str) -> None:
    """Refuse anybody but the owner."""
    if who.role is not Role.OWNER:
        raise Refused(f"{who.code} may not do this", "The owner's badge is needed.", action=action, subject=subject)
