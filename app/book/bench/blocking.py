"""What a condemned frame takes off sale, and what straight readings give back."""

from __future__ import annotations

from sqlalchemy import select, update

from app.book.schema import Donor, Hold, Law, Part, PartType, SaleLine, SaleTicket, Standing, TicketState
from app.book.work import Work

REASON = "frame is scrap only"


def block_frame_parts(work: Work, donor: Donor) -> tuple[str, ...]:
    """Take the frame, its sections, clips and crossmembers off sale, held or on an open ticket as well; their tags."""
    part_of_frame = (
        Part.donor_id == donor.id,
        Part.part_type_id.in_(select(PartType.id).where(PartType.law == Law.FRAME)),
        Part.standing.in_((Standing.FREE, Standing.HELD, Standing.ON_TICKET)),
    )
    ids = work.session.scalars(select(Part.id).where(*part_of_frame)).all()
    work.session.execute(
        update(Hold).where(Hold.part_id.in_(ids), Hold.ended_at.is_(None)).values(ended_at=work.now, ended_why=REASON)
    )
    drafts = select(SaleTicket.id).where(SaleTicket.state == TicketState.DRAFT)
    lines = update(SaleLine).where(SaleLine.part_id.in_(ids), SaleLine.live, SaleLine.ticket_id.in_(drafts))
    work.session.execute(lines.values(live=False))
    tags = work.session.scalars(
        update(Part).where(Part.id.in_(ids)).values(standing=Standing.BLOCKED, block_reason=REASON).returning(Part.tag)
    )
    return tuple(sorted(tags))


def give_back_frame_parts(work: Work, donor: Donor) -> tuple[str, ...]:
    """Parts that were off sale for their frame alone are free again; their tags."""
    tags = work.session.scalars(
        update(Part)
        .where(Part.donor_id == donor.id, Part.standing == Standing.BLOCKED, Part.block_reason == REASON)
        .values(standing=Standing.FREE, block_reason="")
        .returning(Part.tag)
    )
    return tuple(sorted(tags))
