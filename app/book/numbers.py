"""Giving out tags and stock numbers, each once."""

from __future__ import annotations

from sqlalchemy import exists, select

from app.book.schema import Donor, Part, Place, SaleTicket, WeightTicket
from app.book.tags import TagKind, make_tag
from app.book.work import Work

TAGGED = {
    TagKind.PART: Part.tag,
    TagKind.VEHICLE: Donor.tag,
    TagKind.PLACE: Place.tag,
    TagKind.SALE: SaleTicket.tag,
    TagKind.WEIGHT: WeightTicket.tag,
}


def new_tag(work: Work, kind: TagKind) -> str:
    """The next free tag of a kind; one that came in from another book is stepped over."""
    while True:
        tag = make_tag(kind, work.number(f"tag {kind.value}"))
        if not work.session.scalar(select(exists().where(TAGGED[kind] == tag))):
            return tag


def new_stock_number(work: Work) -> str:
    """The next free stock number, D1, D2, …"""
    while True:
        number = f"D{work.number('donors')}"
        if not work.session.scalar(select(exists().where(Donor.stock_number == number))):
            return number
