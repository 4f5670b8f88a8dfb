"""Labels, tickets and receipts of what is in the book: made into records, drawn, and sent to the printer."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

from sqlalchemy import func, select
from sqlalchemy.orm import Session

import labels
from app.book.donors import donor_page
from app.book.money import dollars, say_price
from app.book.numbers import new_tag
from app.book.parts import PartRow, find_part, part_row
from app.book.places import find_place, place_row
from app.book.scale import WeightRow, find_weight_ticket, weight_row
from app.book.schema import PartType, PrintJob, SaleTicket, Standing, TicketState
from app.book.settings import Settings, load_settings
from app.book.tags import TagKind, clean
from app.book.tickets import SoldRow, find_ticket, ticket_row
from app.book.times import local_day, say_time
from app.book.vehicles import find_donor
from app.book.work import Book, Who
from app.errors import BadInput, NotFound, YardError
from app.fit.terms import Hazard

FOOTER = "Used parts. Read what was said about the fit. Structural, airbag and high-voltage work is for licensed hands."
NOBODY = Who("")
"""Giving out a tag for a sign is nobody's act."""
_STATES = {TicketState.VOIDED: "VOID", TicketState.DRAFT: "NOT PAID", TicketState.NOT_RECORDED: "NOT PAID"}
"""What a receipt says first of a sale that is not paid for."""
SOLD = "copy of a sold tag"
SAFETY = frozenset({Hazard.AIRBAG, Hazard.BELT, Hazard.HIGH_VOLTAGE, Hazard.SPRING, Hazard.FUEL, Hazard.WELDING})


class PaperTrouble(YardError):
    """A label or paper that cannot be drawn or sent."""

    kind = "paper"


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper ready to draw: what it is about, its record, its size if not the usual one."""

    kind: str
    tag: str
    record: labels.Record
    size: str | None = None
    warning: str = ""


@dataclass(frozen=True, slots=True)
class SentPaper:
    """A paper handed to the printer: sent, which is all that can be known from here."""

    tag: str
    kind: str
    copy: int
    words: str


def part_paper(book: Book, tag: str) -> Paper:
    """The label of a part; the label of a sold part says that it is a copy of a sold tag."""
    with book.read() as session:
        part = find_part(session, tag)
        kind = session.get_one(PartType, part.part_type_id)
        row = part_row(session, part)
    warning = f"{row.tag} was sold: this is a {SOLD}" if row.standing is Standing.SOLD else ""
    return Paper("part", row.tag, _part_label(row), kind.label_size, warning)


def _part_label(row: PartRow) -> labels.PartLabel:
    sold = SOLD if row.standing is Standing.SOLD else ""
    facts = ", ".join(f"{name} {value}" for name, value in row.facts[:3])
    return labels.PartLabel(
        tag=row.tag,
        part=" ".join(word for word in (row.position, row.part_type) if word),
        side=row.side,
        family_years=row.vehicle,
        condition=" ".join(word for word in (str(row.condition), row.damage) if word),
        date=str(local_day(row.made_at)),
        hazards=tuple(str(hazard) for hazard in row.hazards),
        donor=row.donor,
        note=facts,
        status=sold,
    )


def place_paper(book: Book, code: str) -> Paper:
    """The sign of a place; one that came without a tag gets its own when its sign is first drawn."""
    with book.read() as session:
        row = place_row(session, find_place(session, code))
    if not row.tag:
        with book.unrecorded(NOBODY) as work:
            place = find_place(work.session, code)
            place.tag = new_tag(work, TagKind.PLACE)
            row = place_row(work.session, place)
    return Paper("place", row.tag, labels.PlaceLabel(row.tag, row.code, str(row.kind), row.limits))


def vehicle_paper(book: Book, said: str) -> Paper:
    """The label of a donor, with its holds as warnings."""
    page = donor_page(book, said)
    tag = page.tag or _new_vehicle_tag(book, page.row.stock_number)
    return Paper(
        "vehicle",
        tag,
        labels.VehicleLabel(
            tag=tag,
            stock_number=page.row.stock_number,
            words=page.row.vehicle,
            date=str(local_day(page.row.arrived_at)),
            warnings=page.holds,
        ),
    )


def _new_vehicle_tag(book: Book, stock_number: str) -> str:
    with book.unrecorded(NOBODY) as work:
        donor = find_donor(work.session, stock_number)
        donor.tag = new_tag(work, TagKind.VEHICLE)
        return donor.tag


def weight_paper(book: Book, said: str) -> Paper:
    """A weight ticket."""
    with book.read() as session:
        row = weight_row(session, find_weight_ticket(session, said))
        settings = load_settings(session)
    vehicle = f"{row.donor} {donor_page(book, row.donor).row.vehicle}" if row.donor else ""
    return Paper("weight ticket", row.tag, _weight_ticket(row, settings, vehicle))


def _weight_ticket(row: WeightRow, settings: Settings, vehicle: str) -> labels.WeightTicket:
    price = f"{say_price(row.price_cents)} a {row.price_unit}" if row.price_cents is not None else ""
    return labels.WeightTicket(
        number=str(row.number),
        tag=row.tag,
        kind=str(row.kind),
        gross_at=say_time(row.gross_at),
        tare_at=say_time(row.tare_at),
        scale=row.scale,
        party=row.party,
        vehicle=vehicle,
        plate=row.plate,
        gross=f"{row.gross:,}",
        tare=f"{row.tare:,}",
        net=f"{row.net:,}",
        unit=row.unit,
        division=f"{row.division} {row.unit}",
        weigher=row.by,
        deductions=tuple((words, f"{taken.normalize():,f}") for words, taken in row.taken_off),
        price=price,
        amount=dollars(row.amount_cents) if row.amount_cents is not None else "",
        commodity=row.commodity,
        yard=settings.yard_name,
        city=settings.city,
        void_reason=row.void_reason or None,
        manual_entry=row.typed_by_hand,
    )


def receipt_paper(book: Book, said: str) -> Paper:
    """The receipt of a sale ticket."""
    with book.read() as session:
        row = ticket_row(session, find_ticket(session, said))
        settings = load_settings(session)
        hazards = _hazards(session, row)
    return Paper("receipt", row.tag, _receipt(row, settings, hazards))


def _hazards(session: Session, row: SoldRow) -> tuple[Hazard, ...]:
    found: dict[Hazard, None] = {}
    for line in row.lines:
        part = part_row(session, find_part(session, line.tag))
        found.update({hazard: None for hazard in part.hazards if hazard in SAFETY})
    return tuple(found)


def _receipt(row: SoldRow, settings: Settings, hazards: tuple[Hazard, ...]) -> labels.Receipt:
    lines = tuple(labels.ReceiptLine(line.tag, line.words, line.said, dollars(line.price_cents)) for line in row.lines)
    return labels.Receipt(
        number=str(row.number),
        tag=row.tag,
        lines=lines,
        totals=tuple(_totals(row)),
        date=say_time(row.paid_at or row.made_at),
        customer=row.customer,
        seller=tuple(words for words in (settings.yard_name, settings.yard_words, settings.city) if words),
        state=_STATES.get(row.state, ""),
        state_words=row.void_reason or ("" if row.state is TicketState.PAID else str(row.state)),
        footer=(*(hazard.caution for hazard in hazards), FOOTER),
    )


def _totals(row: SoldRow) -> list[tuple[str, str]]:
    totals = [("parts", dollars(row.parts_cents))]
    if row.discount_cents:
        totals.append(("discount", dollars(-row.discount_cents)))
    if row.core_cents:
        totals.append(("core, back within 30 days", dollars(row.core_cents)))
    tax = f"exempt {row.exempt_number}" if row.exempt_number else f"tax {row.tax_rate} %"
    totals.append((tax, dollars(row.tax_cents)))
    if row.deposit_cents:
        totals.append(("deposit paid before", dollars(-row.deposit_cents)))
    totals.append(("total", dollars(row.total_cents)))
    if row.state is TicketState.PAID:
        totals.append((f"paid {row.paid_how}", dollars(row.total_cents)))
    return totals


def paper_for(book: Book, said: str) -> Paper:
    """The paper of whatever carries this tag, code or number: part, place, vehicle or ticket.

    Raises:
        NotFound: nothing in the book answers to it.
    """
    name = clean(said)
    for make in (part_paper, place_paper, vehicle_paper):
        try:
            return make(book, name)
        except NotFound:
            continue
    with book.read() as session:
        sale = session.scalar(select(SaleTicket.id).where(SaleTicket.tag == name)) if not name.isdigit() else None
    if sale is not None:
        return receipt_paper(book, name)
    try:
        return weight_paper(book, name)
    except NotFound as error:
        raise NotFound(
            f"nothing here is called {said!r}",
            "Type a tag, a place, a stock number, or the number of a weight ticket.",
            place=error.place,
        ) from error


def draw_paper(book: Book, paper: Paper, target: Path, *, size: str | None = None, dpi: int | None = None) -> Path:
    """Draw a paper into a PNG or PDF file.

    Raises:
        PaperTrouble: a tag no code can carry, an unknown size, or a file that cannot be written.
    """
    with book.read() as session:
        usual = int(load_settings(session).label_dpi)
    try:
        picture = labels.draw(paper.record, size=size or _fitting(paper), dpi=dpi or usual)
        return labels.save(picture, target, dpi or usual)
    except labels.LabelError as error:
        raise PaperTrouble(error.title, error.next_step, place=paper.tag) from error
    except OSError as error:
        raise BadInput(f"{target} cannot be written: {error.strerror}", "Give another file.", place="file") from error


def _fitting(paper: Paper) -> str | None:
    return paper.size if paper.size in labels.sizes(type(paper.record)) else None


def print_paper(book: Book, who: Who, paper: Paper, *, reason: str = "", size: str | None = None) -> SentPaper:
    """Draw a paper as its next copy and hand it to the printer.

    Raises:
        PaperTrouble: it cannot be drawn, or the printer system refuses it.
        BadInput: a second label without a reason.
    """
    with book.read() as session:
        settings = load_settings(session)
        before = session.scalar(
            select(func.count()).select_from(PrintJob).where(PrintJob.tag == paper.tag, PrintJob.kind == paper.kind)
        )
    copy = (before or 0) + 1
    if copy > 1 and not reason.strip():
        raise BadInput(
            f"{paper.tag} was sent to a printer before", "Say why again: smeared, lost, torn.", place="reason"
        )
    record = replace(paper.record, copy=copy)
    with tempfile.TemporaryDirectory() as folder:
        file = draw_paper(book, replace(paper, record=record), Path(folder) / "paper.pdf", size=size)
        try:
            labels.send(file, settings.printer or None)
        except labels.LabelError as error:
            raise PaperTrouble(error.title, error.next_step, place=paper.tag) from error
    return _sent(book, who, paper, copy, reason, settings.printer)


def _sent(book: Book, who: Who, paper: Paper, copy: int, reason: str, printer: str) -> SentPaper:
    with book.write(who) as work:
        work.session.add(
            PrintJob(
                number=work.number("print_jobs"),
                tag=paper.tag,
                kind=paper.kind,
                copy=copy,
                reason=reason,
                sent_to=printer,
                at=work.now,
                by=who.code,
            )
        )
        if paper.kind == "receipt":
            find_ticket(work.session, paper.tag).receipts += 1
        words = f"{paper.kind} {paper.tag}{f', copy {copy}' if copy > 1 else ''} sent to the printer"
        work.note("print", paper.tag, words, copy=copy, reason=reason)
    return SentPaper(paper.tag, paper.kind, copy, words)


def last_good_label(book: Book) -> str:
    """The tag of the last label that a person saw come out right; empty when none was marked."""
    with book.read() as session:
        return session.scalar(select(PrintJob.tag).where(PrintJob.seen_good).order_by(PrintJob.number.desc())) or ""


def came_out_right(book: Book, who: Who, tag: str) -> tuple[str, ...]:
    """Mark the last label that came out right; returns the tags sent after it, to send again.

    Raises:
        NotFound: no label of that tag was sent.
    """
    with book.write(who) as work:
        job = work.session.scalar(select(PrintJob).where(PrintJob.tag == clean(tag)).order_by(PrintJob.number.desc()))
        if job is None:
            raise NotFound(f"no label {tag} was sent", "Scan the last label that came out right.", place="tag")
        job.seen_good = True
        later = work.session.scalars(
            select(PrintJob.tag).where(PrintJob.number > job.number, PrintJob.kind == "part").order_by(PrintJob.number)
        ).all()
        work.note("last good label", job.tag, f"{job.tag} came out right, {len(later)} after it to send again")
        return tuple(dict.fromkeys(later))
