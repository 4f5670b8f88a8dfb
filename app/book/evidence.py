"""Sales as evidence: what came back because it did not fit, what was kept, and chains that proved themselves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.behind import FIT, Behind, behind_sale, read_behind
from app.book.newrules import Pairing, pairing_of, write_pairing
from app.book.parts import find_part
from app.book.ruling import Ruled, add_evidence, find_rule, into_dispute, rules_changed
from app.book.schema import (
    History,
    Outcome,
    Part,
    PartType,
    Rule,
    RuleEvidence,
    SaleLine,
    SaleTicket,
    TicketState,
)
from app.book.work import Book, Who, Work
from app.errors import BadInput, NotFound, Refused
from app.fit.rules import Evidence, RuleKind, RuleState
from app.fit.terms import Grade

CAME_BACK, KEPT, CHAIN_KEPT, CHAIN_CLOSED = "did not fit", "count kept sales", "chain kept", "chain decided"
SALES, CHAINS = "kept sales", "chains"
"""What the history lines of counted sales and of chains are about."""
BATCH = 400


@dataclass(frozen=True, slots=True)
class CameBack:
    """A part that came back because it did not fit, and the rules now in doubt."""

    tag: str
    ticket: int
    rules: tuple[str, ...]
    words: str


def did_not_fit(
    book: Book, who: Who, tag: str, words: str, *, sold_on: Behind | None = None, part_at_fault: bool = False
) -> CameBack:
    """A sold part came back: it did not fit. What its word of fit stood on is in dispute from now on.

    `sold_on` says what that was where the sale did not keep it. With `part_at_fault` the part was not what its
    tag said, such as a hub changed before the yard bought the truck: no rule is doubted. A chain that failed
    becomes a disputed rule of its own, so that its links, each proven, stand; a pair that was never compared
    becomes a rule that says no.

    Raises:
        NotFound: not ours, or never sold. BadInput: no words, or nobody knows what it was sold on.
        Refused: the same return was written down before.
    """
    said = words.strip()
    if not said:
        raise BadInput("a return needs a why", "Say what did not fit.", place="why")
    with book.write(who) as work:
        part = find_part(work.session, tag)
        line, ticket = _sold_line(work.session, part)
        _not_twice(work.session, ticket, part.tag)
        stood_on = sold_on or behind_sale(work.session, ticket.number, part.tag)
        codes: tuple[str, ...] = ()
        if not part_at_fault:
            codes = tuple(_doubt(work, part, line, ticket, stood_on, said))
            rules_changed(work, *codes)
        told = _returned_words(part.tag, ticket.number, codes, said)
        work.note(CAME_BACK, f"ticket {ticket.number}", told, tag=part.tag, rules=list(codes), why=said)
        return CameBack(part.tag, ticket.number, codes, told)


def _returned_words(tag: str, ticket: int, codes: Sequence[str], said: str) -> str:
    doubt = f"{', '.join(codes)} in dispute" if codes else "the part was not what its tag says: look at it again"
    return f"{tag} of ticket {ticket} came back: {said}; {doubt}"


def _sold_line(session: Session, part: Part) -> tuple[SaleLine, SaleTicket]:
    """The last line a part was sold on, also of a ticket voided since."""
    found = session.execute(
        select(SaleLine, SaleTicket)
        .join(SaleTicket, SaleTicket.id == SaleLine.ticket_id)
        .where(SaleLine.part_id == part.id, SaleTicket.state.in_([TicketState.PAID, TicketState.VOIDED]))
        .order_by(SaleTicket.paid_at.desc(), SaleTicket.number.desc())
        .limit(1)
    ).one_or_none()
    if found is None:
        raise NotFound(f"{part.tag} was never sold here", "Look at the tag and the receipt.", place="tag")
    return found[0], found[1]


def _not_twice(session: Session, ticket: SaleTicket, tag: str) -> None:
    for line in _lines(session, [f"ticket {ticket.number}"], CAME_BACK):
        if line.details.get("tag") == tag:
            raise Refused(
                f"{tag} of ticket {ticket.number} was returned before",
                "See: donorbook history.",
                action=CAME_BACK,
                subject=tag,
            )


def _lines(session: Session, subjects: Sequence[str], *actions: str) -> Iterable[History]:
    query = select(History).where(History.subject.in_(subjects), History.outcome == Outcome.DONE)
    return session.scalars(query.where(History.action.in_(actions)).order_by(History.id))


def _doubt(
    work: Work, part: Part, line: SaleLine, ticket: SaleTicket, stood_on: Behind | None, said: str
) -> Iterator[str]:
    """Put what the line stood on in dispute; the codes of the rules."""
    if stood_on is None:
        raise BadInput(f"the sale of {part.tag} did not say for which vehicle", "Say it in words.", place="vehicle")
    words = f"ticket {ticket.number}, {part.tag} came back: {said}"
    doubted = [rule for code in stood_on.rules if (rule := _doubtful(work, code)) is not None]
    for rule in doubted:
        if rule.state is RuleState.OPEN:
            into_dispute(work, rule, words)
        add_evidence(work, rule, RuleEvidence(kind=Evidence.RETURNED, words=words))
        yield rule.code
    if not doubted:
        yield _pair_in_doubt(work, part, line, stood_on, words)


def _doubtful(work: Work, code: str) -> Rule | None:
    """A rule that a return can doubt; yard law and rules closed since are none."""
    rule = work.session.scalar(select(Rule).where(Rule.code == code).with_for_update())
    doubtful = rule is not None and rule.kind in (RuleKind.FIT, RuleKind.NUMBERS)
    return rule if rule is not None and doubtful and rule.state is not RuleState.CLOSED else None


def _pair_in_doubt(work: Work, part: Part, line: SaleLine, stood_on: Behind, words: str) -> str:
    """No rule stood behind it: the pair gets one, disputed where something proven said yes, else a plain no."""
    pairing = pairing_of(work.session, part, stood_on.models)
    proven = bool(stood_on.chain) or line.grade == Grade.BOLTS_UP
    grade = Grade.BOLTS_UP if proven else Grade.WONT_FIT
    why = f"by chain {', '.join(stood_on.chain)}" if stood_on.chain else words
    rule = write_pairing(work, pairing, grade, why, stood_on.chain, sided=bool(part.side), doubted=True)
    add_evidence(work, rule, RuleEvidence(kind=Evidence.RETURNED, words=words))
    if proven:
        into_dispute(work, rule, words)
    return rule.code


@dataclass(frozen=True, slots=True)
class KeptSales:
    """Sales past their return days that were counted: how many lines, by rule, and how many by chain."""

    lines: int
    by_rule: tuple[tuple[str, int], ...]
    by_chain: int
    words: str


def count_kept(book: Book, who: Who) -> KeptSales:
    """Count the sales whose return days are over and that did not come back as evidence for their rules.

    Each sale is counted once; counting again counts only what came due since.
    """
    with book.write(who) as work:
        start, end = _due(work.session, work.now, float(work.settings.return_days))
        tally: Counter[str] = Counter()
        chains = lines = 0
        for part, ticket, stood_on in _kept_lines(work.session, start, end):
            lines += 1
            tally.update(stood_on.rules)
            chains += _keep_chain(work, part, ticket, stood_on)
        counted = [(code, count) for code, count in sorted(tally.items()) if _one_more(work, code, count)]
        words = f"{lines} lines kept, {len(counted)} rules and {chains} chains the better for it"
        work.note(KEPT, SALES, words, up_to=end.isoformat(), rules=dict(counted))
        if counted:
            rules_changed(work, *(code for code, _ in counted))
        return KeptSales(lines, tuple(counted), chains, words)


def waiting_sales(book: Book) -> int:
    """How many tickets are past their return days and not counted yet."""
    from app.book.settings import load_settings

    with book.read() as session:
        start, end = _due(session, book.clock(), float(load_settings(session).return_days))
        return len(_tickets(session, start, end))


def _due(session: Session, now: datetime, days: float) -> tuple[datetime | None, datetime]:
    """The time between the last count and the end of the return days."""
    last: datetime | None = None
    for line in _lines(session, [SALES], KEPT):
        last = datetime.fromisoformat(line.details["up_to"])
    return last, now - timedelta(days=days)


def _tickets(session: Session, start: datetime | None, end: datetime) -> Sequence[SaleTicket]:
    paid = select(SaleTicket).where(SaleTicket.state == TicketState.PAID, SaleTicket.paid_at <= end)
    if start is not None:
        paid = paid.where(SaleTicket.paid_at > start)
    return session.scalars(paid.order_by(SaleTicket.id)).all()


def _kept_lines(session: Session, start: datetime | None, end: datetime) -> Iterator[tuple[Part, SaleTicket, Behind]]:
    """Every line due whose sale said what it stood on, and that did not come back."""
    tickets = _tickets(session, start, end)
    for at in range(0, len(tickets), BATCH):
        batch = tickets[at : at + BATCH]
        told = _told_by_ticket(session, [f"ticket {ticket.number}" for ticket in batch])
        parts = select(SaleLine.ticket_id, Part).join(Part, Part.id == SaleLine.part_id).where(SaleLine.live)
        by_id = {ticket.id: ticket for ticket in batch}
        for ticket_id, part in session.execute(parts.where(SaleLine.ticket_id.in_(by_id)).order_by(SaleLine.id)):
            ticket = by_id[ticket_id]
            kept = told.get((f"ticket {ticket.number}", part.tag))
            if kept is not None:
                yield part, ticket, kept


def _told_by_ticket(session: Session, subjects: Sequence[str]) -> dict[tuple[str, str], Behind]:
    """What each line of these tickets stood on, without those that came back."""
    found: dict[tuple[str, str], Behind] = {}
    for line in _lines(session, subjects, "sell", "start ticket", CAME_BACK):
        if line.action == CAME_BACK:
            found.pop((line.subject, str(line.details.get("tag"))), None)
        for tag, kept in line.details.get(FIT, {}).items():
            found[line.subject, tag] = read_behind(kept)
    return found


def _one_more(work: Work, code: str, count: int) -> bool:
    """So many more sales kept under a rule; False where it is closed or gone from the yard's rules."""
    rule = _doubtful(work, code)
    if rule is None:
        return False
    kept = select(RuleEvidence).where(RuleEvidence.rule_id == rule.id, RuleEvidence.kind == Evidence.SOLD_AND_KEPT)
    row = work.session.scalars(kept.order_by(RuleEvidence.number.desc())).first()
    if row is None:
        add_evidence(work, rule, RuleEvidence(kind=Evidence.SOLD_AND_KEPT, count=count))
    else:
        row.count, row.on, row.by = row.count + count, work.now.astimezone().date(), work.who.code
    return True


@dataclass(frozen=True, slots=True)
class ChainRow:
    """A chain that was sold and kept, waiting for somebody to make it a rule of its own."""

    number: int
    pairing: Pairing
    chain: tuple[str, ...]
    kept: int
    tickets: tuple[int, ...]

    @property
    def words(self) -> str:
        """The chain as it is said."""
        path = " then ".join(self.chain)
        return f"{self.pairing.words}: bolts up by chain {path}, {self.kept} sold and kept"


def _keep_chain(work: Work, part: Part, ticket: SaleTicket, stood_on: Behind) -> int:
    if not stood_on.chain or not stood_on.models:
        return 0
    pairing = pairing_of(work.session, part, stood_on.models)
    known = {(row.pairing, row.chain): row.number for row in _chains(work.session).values()}
    number = known.get((pairing, stood_on.chain)) or work.number(CHAINS)
    details: dict[str, Any] = {
        "number": number, "ticket": ticket.number, "tag": part.tag, "chain": list(stood_on.chain),
        "part_type": pairing.part_type, "part_model": pairing.part_model, "models": list(pairing.models),
    }  # fmt: skip
    work.note(CHAIN_KEPT, CHAINS, f"{pairing.words} by chain {', '.join(stood_on.chain)} was kept", **details)
    work.session.flush()
    return 1


def chains_waiting(book: Book) -> tuple[ChainRow, ...]:
    """The chains that were sold and kept and that nobody has decided on."""
    with book.read() as session:
        return tuple(_chains(session).values())


def _chains(session: Session) -> dict[int, ChainRow]:
    found: dict[int, ChainRow] = {}
    for line in _lines(session, [CHAINS], CHAIN_KEPT, CHAIN_CLOSED):
        number = int(line.details["number"])
        if line.action == CHAIN_CLOSED:
            found.pop(number, None)
            continue
        row = found.get(number)
        tickets = (*(row.tickets if row else ()), int(line.details["ticket"]))
        found[number] = ChainRow(number, _pairing(line.details), tuple(line.details["chain"]), len(tickets), tickets)
    return found


def _pairing(details: Mapping[str, Any]) -> Pairing:
    return Pairing(details["part_type"], details["part_model"], tuple(details["models"]))


def confirm(book: Book, who: Who, number: int) -> Ruled:
    """Make a chain that was sold and kept a rule of its own.

    Raises:
        NotFound: no such chain waits. Refused: one of its links was closed or is disputed since, or holds its ends
            against each other.
    """
    with book.write(who) as work:
        row = _waiting(work, number)
        for link in row.chain:
            _still_open(find_rule(work, link.removesuffix(" back")), row)
        sided = work.session.scalars(select(PartType.sided).where(PartType.name == row.pairing.part_type)).one()
        path = " then ".join(row.chain)
        rule = write_pairing(work, row.pairing, Grade.BOLTS_UP, f"by way of {path}, and kept", row.chain, sided=sided)
        tickets = ", ".join(map(str, row.tickets))
        proof = RuleEvidence(kind=Evidence.SOLD_AND_KEPT, count=row.kept, words=f"tickets {tickets}")
        add_evidence(work, rule, proof)
        told = f"chain {number} is rule {rule.code}: {row.pairing.words}"
        work.note(CHAIN_CLOSED, CHAINS, told, number=number, rule=rule.code)
        rules_changed(work, rule.code)
        return Ruled(rule.code, rule.state, told)


def decline(book: Book, who: Who, number: int, reason: str) -> str:
    """Leave a kept chain a chain, with a reason.

    Raises:
        NotFound: no such chain waits. BadInput: no reason.
    """
    if not reason.strip():
        raise BadInput("declining needs a reason", "Say why.", place="reason")
    with book.write(who) as work:
        row = _waiting(work, number)
        told = f"chain {number} stays a chain: {reason.strip()} ({row.pairing.words})"
        work.note(CHAIN_CLOSED, CHAINS, told, number=number, rule="")
        return told


def _waiting(work: Work, number: int) -> ChainRow:
    row = _chains(work.session).get(number)
    if row is None:
        raise NotFound(f"no chain {number} waits", "See them with: donorbook rules chains.", place="chain")
    return row


def _still_open(rule: Rule, row: ChainRow) -> None:
    if rule.state is not RuleState.OPEN:
        raise Refused(
            f"{rule.code}, a link of it, is {rule.state}",
            "Settle that first.",
            action="confirm chain",
            subject=row.pairing.words,
        )
