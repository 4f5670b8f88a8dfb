"""What becomes of a rule: disputed, settled by a measurement or a why, closed with a reason; never deleted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import func, select

from app.book.knowing import knowing
from app.book.people import only_owner
from app.book.reach.closure import renew
from app.book.schema import Rule, RuleCompanion, RuleCondition, RuleConsequence, RuleEvidence, RuleOperation, RuleType
from app.book.times import local_day
from app.book.versions import RULES
from app.book.work import Book, Who, Work
from app.errors import BadInput, NotFound, Refused
from app.fit.rules import Evidence, RuleKind, RuleState
from app.fit.terms import Grade

_WITH_RULE = (RuleType, RuleCondition)
_WITH_WORK = (RuleOperation, RuleCompanion, RuleConsequence)


@dataclass(frozen=True, slots=True)
class Ruled:
    """A rule after something was decided about it; `successor` is the rule written in its place."""

    code: str
    state: RuleState
    words: str
    successor: str = ""
    closed: str = ""


@dataclass(frozen=True, slots=True)
class Proof:
    """A measurement or a why: the words, who took it with which tool, and on which donors it was seen."""

    measured: str = ""
    why: str = ""
    tool: str = ""
    donors: Sequence[str] = ()

    @property
    def words(self) -> str:
        """Both in one."""
        return "; ".join(each.strip() for each in (self.measured, self.why) if each.strip())


def rules_changed(work: Work, *codes: str) -> None:
    """Whatever is asked next sees the rules as they stand now; `codes` are those that changed or are new."""
    work.session.flush()
    connection = work.session.connection()
    ids = work.session.scalars(select(Rule.id).where(Rule.code.in_(codes))).all()
    renew(connection, knowing(work.session).catalog, ids)
    work.number(RULES)


def find_rule(work: Work, code: str) -> Rule:
    """The rule of a code, kept from others while it is decided upon.

    Raises:
        NotFound: there is none.
    """
    found = work.session.scalar(select(Rule).where(func.upper(Rule.code) == code.strip().upper()).with_for_update())
    if found is None:
        raise NotFound(f"there is no rule {code!r}", "See them with: donorbook rules list.", place="rule")
    return found


def add_evidence(work: Work, rule: Rule, row: RuleEvidence) -> None:
    """Put one more line of evidence under a rule."""
    last = work.session.scalar(select(func.max(RuleEvidence.number)).where(RuleEvidence.rule_id == rule.id)) or 0
    row.rule_id, row.number, row.by = rule.id, last + 1, work.who.code
    row.on = row.on or local_day(work.now)
    work.session.add(row)
    work.session.flush()


def dispute(book: Book, who: Who, code: str, words: str) -> Ruled:
    """Doubt a rule: until it is settled it says "measure first".

    Raises:
        NotFound: no such rule. BadInput: no reason. Refused: it is closed, or law, or disputed already.
    """
    reason = _said(words, "a dispute needs a reason", "Say what went wrong.")
    with book.write(who) as work:
        rule = find_rule(work, code)
        into_dispute(work, rule, reason)
        told = f"{rule.code} is disputed: {reason}"
        work.note("dispute rule", rule.code, told)
        rules_changed(work, rule.code)
        return Ruled(rule.code, rule.state, told)


def into_dispute(work: Work, rule: Rule, reason: str) -> None:
    """Set a rule to disputed.

    Raises:
        Refused: it is closed or disputed already, or yard law, which only the owner's word changes.
    """
    if rule.kind in (RuleKind.LAW, RuleKind.MOVES_DATE):
        raise _no(rule, f"{rule.code} is {rule.kind}, which no return disputes", "The owner closes it.")
    if rule.state is not RuleState.OPEN:
        raise _no(rule, f"{rule.code} is {rule.state}: {rule.state_reason}", "See: donorbook rules show.")
    rule.state, rule.state_reason, rule.state_on = RuleState.DISPUTED, reason, local_day(work.now)
    work.session.flush()


def close(book: Book, who: Who, code: str, reason: str) -> Ruled:
    """Close a rule with a reason; it stays in the book and says nothing any more. The owner's last word.

    Raises:
        NotFound: no such rule. BadInput: no reason. Refused: it is closed already, or not the owner asks.
    """
    said = _said(reason, "closing a rule needs a reason", "Say why.")
    with book.write(who) as work:
        rule = find_rule(work, code)
        only_owner(work.who, "close rule", rule.code)
        into_closed(work, rule, said)
        work.note("close rule", rule.code, f"{rule.code} is closed: {said}")
        rules_changed(work, rule.code)
        return Ruled(rule.code, rule.state, f"{rule.code} is closed: {said}")


def into_closed(work: Work, rule: Rule, reason: str) -> None:
    """Set a rule to closed.

    Raises:
        Refused: it is closed already.
    """
    if rule.state is RuleState.CLOSED:
        raise _no(rule, f"{rule.code} was closed on {rule.state_on}: {rule.state_reason}", "")
    rule.state, rule.state_reason, rule.state_on = RuleState.CLOSED, reason, local_day(work.now)
    work.session.flush()


def settle(book: Book, who: Who, code: str, proof: Proof, *, says: Grade | None = None, over: str = "") -> Ruled:
    """Settle a rule by a measurement or a why; it gets the yard's own evidence and is open again.

    `says` is the grade the measurement comes to where that is another: the rule is closed and one of the
    measured grade is written in its place. `over` is a rule that loses by it and is closed.

    Raises:
        NotFound: no such rule. BadInput: neither a measurement nor a why, or a grade without a measurement.
        Refused: the rule is closed, or the one it wins over is.
    """
    words = _said(proof.words, "neither a measurement nor a why", "Say what was measured, or what went wrong.")
    with book.write(who) as work:
        rule = find_rule(work, code)
        if rule.state is RuleState.CLOSED:
            raise _no(rule, f"{rule.code} is closed: {rule.state_reason}", "Write a new rule.")
        loser = _loser(work, rule, over)
        if says is not None and says is not rule.grade:
            made = _succeed(work, rule, says, proof)
        else:
            made = None
            _open_again(work, rule, proof)
        if loser is not None:
            into_closed(work, loser, f"{rule.code} stands instead: {words}")
        told = _told(rule, words, made, loser)
        work.note("settle rule", rule.code, told, measured=proof.measured, why=proof.why, over=over)
        rules_changed(work, *(each.code for each in (rule, made, loser) if each is not None))
        return Ruled(rule.code, rule.state, told, made.code if made else "", loser.code if loser else "")


def _loser(work: Work, rule: Rule, over: str) -> Rule | None:
    if not over:
        return None
    loser = find_rule(work, over)
    if loser.id == rule.id:
        raise BadInput(f"{rule.code} cannot win over itself", "Name the other rule.", place="over")
    return loser


def _told(rule: Rule, words: str, made: Rule | None, loser: Rule | None) -> str:
    said = f"{rule.code} is closed, {made.code} says {made.grade} instead" if made else f"{rule.code} stands"
    return f"{said}: {words}{f'; {loser.code} is closed' if loser else ''}"


def _open_again(work: Work, rule: Rule, proof: Proof) -> None:
    """A measurement is evidence; a why alone clears the returns, which then weigh no more than what was told."""
    if proof.measured.strip():
        add_evidence(work, rule, _evidence(proof))
    else:
        returned = select(RuleEvidence).where(RuleEvidence.rule_id == rule.id, RuleEvidence.kind == Evidence.RETURNED)
        for row in work.session.scalars(returned):
            row.kind, row.words = Evidence.TOLD, f"{row.words}; explained: {proof.why.strip()}"
    rule.state, rule.state_reason, rule.state_on = RuleState.OPEN, "", None
    work.session.flush()


def _evidence(proof: Proof) -> RuleEvidence:
    return RuleEvidence(kind=Evidence.MEASURED, donors=list(proof.donors), tool=proof.tool, words=proof.words)


def _succeed(work: Work, rule: Rule, says: Grade, proof: Proof) -> Rule:
    """Close a rule and write the one of the measured grade in its place."""
    if not proof.measured.strip():
        raise BadInput("another grade needs a measurement", "Say what was measured.", place="measured")
    into_closed(work, rule, f"measured to be {says}: {proof.words}")
    made = Rule(
        code=free_code(work, f"{rule.code}.2"),
        kind=rule.kind,
        grade=says,
        direction=rule.direction,
        chains=rule.chains and says is Grade.BOLTS_UP,
        why=proof.words,
    )
    work.session.add(made)
    work.session.flush()
    copy_children(work, rule, made, with_work=says.rank < Grade.SET_SHORT.rank)
    add_evidence(work, made, _evidence(proof))
    return made


def free_code(work: Work, wanted: str) -> str:
    """A code that no rule has: the wanted one, or the next of its kind ("R77.2", then "R77.3")."""
    stem, _, number = wanted.rpartition(".")
    for count in range(int(number), int(number) + 10_000):
        code = f"{stem}.{count}"
        if work.session.scalar(select(Rule.id).where(Rule.code == code)) is None:
            return code
    raise BadInput(f"no code is left after {wanted}", "Write the rule under another code.", place="rule")


def copy_children(work: Work, rule: Rule, made: Rule, *, with_work: bool) -> None:
    """Give a new rule the part types and conditions of another, and its work where it still fits somehow."""
    for table in (*_WITH_RULE, *(_WITH_WORK if with_work else ())):
        columns = [column.key for column in table.__mapper__.column_attrs if column.key not in ("id", "rule_id")]
        for row in work.session.scalars(select(table).where(table.rule_id == rule.id).order_by(table.id)):
            work.session.add(table(rule_id=made.id, **{name: getattr(row, name) for name in columns}))
    work.session.flush()


def _said(words: str, title: str, remedy: str) -> str:
    if not words.strip():
        raise BadInput(title, remedy, place="reason")
    return words.strip()


def _no(rule: Rule, title: str, remedy: str) -> Refused:
    return Refused(title, remedy, action="rule", subject=rule.code, place=rule.code)
