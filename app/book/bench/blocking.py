"""What a condemned frame takes off sale, and what straight readings give back."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select, update

from app.book.money import dollars
from app.book.schema import Donor, FrameState, Hold, Law, Part, PartType, SaleLine, SaleTicket, Standing, TicketState
from app.book.work import Work

REASON = "frame is scrap only"


@dataclass(frozen=True, slots=True)
class Blocked:
    """What a condemned frame took off sale: the tags, and in words who must be told and what deposit goes back."""

    tags: tuple[str, ...] = ()
    to_tell: tuple[str, ...] = ()


def block_frame_parts(work: Work, donor: Donor) -> Blocked:
    """Take the frame, its sections, clips and crossmembers off sale, held or on an open ticket as well."""
    part_of_frame = (
        Part.donor_id == donor.id,
        Part.part_type_id.in_(select(PartType.id).where(PartType.law == Law.FRAME)),
        Part.standing.in_((Standing.FREE, Standing.HELD, Standing.ON_TICKET)),
    )
    ids = work.session.scalars(select(Part.id).where(*part_of_frame)).all()
    to_tell = []
    for held, tag in work.session.execute(
        select(Hold, Part.tag).join(Part, Part.id == Hold.part_id).where(Hold.part_id.in_(ids), Hold.ended_at.is_(None))
    ).all():
        held.ended_at, held.ended_why = work.now, REASON
        deposit = f", {dollars(held.deposit_cents)} deposit goes back" if held.deposit_cents else ""
        to_tell.append(f"{tag} was held for {' '.join((held.name, held.phone)).strip()}{deposit}")
    work.session.flush()
    drafts = select(SaleTicket.id).where(SaleTicket.state == TicketState.DRAFT)
    lines = update(SaleLine).where(SaleLine.part_id.in_(ids), SaleLine.live, SaleLine.ticket_id.in_(drafts))
    work.session.execute(lines.values(live=False))
    tags = work.session.scalars(
        update(Part).where(Part.id.in_(ids)).values(standing=Standing.BLOCKED, block_reason=REASON).returning(Part.tag)
    )
    return Blocked(tuple(sorted(tags)), tuple(to_tell))


def free_again(work: Work, part: Part) -> None:
    """A part that comes back is for sale, unless the frame it was cut from is scrap only."""
    condemned = work.session.scalar(
        select(PartType.id)
        .join(Donor, Donor.id == part.donor_id)
        .where(
            PartType.id == part.part_type_id,
            PartType.law == Law.FRAME,
            Donor.frame_state == FrameState.SCRAP_ONLY,
        )
    )
    part.standing = Standing.FREE if condemned is None else Standing.BLOCKED
    part.block_reason = "" if condemned is None else REASON


def give_back_frame_parts(work: Work, donor: Donor) -> tuple[str, ...]:
    """Parts that were off sale for their frame alone are free again; their tags."""
    tags = work.session.scalars(
        update(Part)
        .where(Part.donor_id == donor.id, Part.standing == Standing.BLOCKED, Part.block_reason == REASON)
        .values(standing=Standing.FREE, block_reason="")
        .returning(Part.tag)
    )
    return tuple(sorted(tags))
