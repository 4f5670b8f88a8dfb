"""The owner's rules: what is in dispute, which chains wait to become rules, and what is wrong with the rules."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import OptionList

from app.book.evidence import ChainRow, chains_waiting, confirm, count_kept, decline, did_not_fit, waiting_sales
from app.book.rulefindings import RuleCheck, check_rules
from app.book.rulerows import RulePage, RuleRow, RuleSheet, disputes, rule
from app.book.ruling import Proof, close, dispute, settle
from app.book.work import Book, Who
from app.errors import BadInput
from app.fit.rulechecks.rulefaults import RuleFinding
from app.fit.terms import Grade
from app.screens.parts.board import Board, Lines, column, folded
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, joined, left, lines, plain
from app.screens.parts.sheets import FormSheet, Notice, ScanSheet

Values = Mapping[str, str]
RULE, CHAIN = "rule ", "chain "
FAULTS = ("the rule", "the part was not what its tag says")
DEEDS = (
    Deed("s", "settle", "settle", "Enter the measurement or the why that settles the rule under the cursor."),
    Deed("d", "dispute", "doubt", "Put a rule in dispute, with the reason."),
    Deed("b", "came_back", "came back", "Write down that a sold part came back because it did not fit."),
    Deed("x", "close", "close", "Close the rule under the cursor with a reason, or leave the chain one."),
    Deed("m", "confirm", "make rule", "Make the chain under the cursor a rule of its own."),
    Deed("k", "kept", "count kept", "Count the sales whose return days are over as evidence."),
    Deed("f", "faults", "faults", "Look for faults in all the rules."),
    BACK,
)


class RulesRead(Message):
    """What waits for a decision about rules."""

    def __init__(self, disputed: RulePage, chains: tuple[ChainRow, ...], uncounted: int) -> None:
        super().__init__()
        self.disputed = disputed
        self.chains = chains
        self.uncounted = uncounted


class Decided(Message):
    """Something was decided about a rule."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words


class RuleRead(Message):
    """One rule with all that stands under it."""

    def __init__(self, sheet: RuleSheet) -> None:
        super().__init__()
        self.sheet = sheet


class RulesView(Page):
    """Disputes and chains, and what to do about them."""

    NAME = "office · rules"
    HELP_WORDS = (
        "A rule in dispute says “measure first” until a measurement or a why is entered. Closing is the owner's, "
        "and a closed rule stays in the book."
    )
    DEEDS = DEEDS
    BINDINGS = keyed(DEEDS)

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.chains: dict[str, ChainRow] = {}

    def body(self) -> Iterable[Widget]:
        """How many sales wait, then the list."""
        yield Words(id="waiting", classes="quiet")
        yield Board(id="rules")

    def on_screen_resume(self) -> None:
        """Read it again."""
        book = self.book
        self.reads("rules", lambda: RulesRead(disputes(book), chains_waiting(book), waiting_sales(book)))

    def on_rules_read(self, message: RulesRead) -> None:
        """Show it."""
        self.chains = {f"{CHAIN}{row.number}": row for row in message.chains}
        count = message.uncounted
        tickets = f"{count:,} ticket{'' if count == 1 else 's'} past the return days: k counts them" if count else ""
        self.query_one("#waiting", Words).say(tickets)
        disputed = [(f"{RULE}{row.code}", say_dispute(row, self.fold)) for row in message.disputed.rows]
        kept = [(name, say_chain(row, self.fold)) for name, row in self.chains.items()]
        self.query_one(Board).show_groups(
            [Lines("in dispute", disputed, of=message.disputed.in_all), Lines("chains sold and kept", kept)]
        )
        self.query_one(Board).focus()

    @property
    def code(self) -> str:
        """The rule under the cursor."""
        here = self.query_one(Board).here
        return here.removeprefix(RULE) if here.startswith(RULE) else ""

    @property
    def chain(self) -> ChainRow | None:
        """The chain under the cursor."""
        return self.chains.get(self.query_one(Board).here)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter reads the rule in full."""
        event.stop()
        code, chain = self.code, self.chain
        if code:
            self.reads("rule", lambda: RuleRead(rule(self.book, code)))
        elif chain is not None:
            self.app.push_screen(Notice(f"Chain {chain.number}", chain.words))

    def on_rule_read(self, message: RuleRead) -> None:
        """Read the rule."""
        self.app.push_screen(Notice(f"Rule {message.sheet.row.code}", say_rule(message.sheet)))

    def decide(self, job: Callable[[], str]) -> None:
        """Decide something and read the list again."""
        self.writes("rule", lambda: Decided(job()))

    def on_decided(self, message: Decided) -> None:
        """Say so."""
        self.tell(message.words)
        self.on_screen_resume()

    def action_settle(self) -> None:
        """Ask what was measured."""
        code = self.code
        if code:
            self.app.push_screen(settle_sheet(code), lambda values: self._settle(code, values) if values else None)

    def _settle(self, code: str, values: Values) -> None:
        proof = Proof(values["measured"], values["why"], values["tool"].strip())
        says = Grade(values["says"].strip()) if values["says"].strip() else None
        self.decide(lambda: settle(self.book, self.who, code, proof, says=says, over=values["over"].strip()).words)

    def action_dispute(self) -> None:
        """Ask which rule is in doubt, and why."""
        sheet = FormSheet("Doubt a rule", [Blank("code", "rule", value=self.code), Blank("why", "why")])
        self.app.push_screen(sheet, lambda values: self._dispute(values) if values else None)

    def _dispute(self, values: Values) -> None:
        self.decide(lambda: dispute(self.book, self.who, values["code"], values["why"]).words)

    def action_came_back(self) -> None:
        """Ask which sold part did not fit."""
        blanks = [
            Blank("tag", "tag", hint="of the part that came back"),
            Blank("why", "why", hint="what did not fit, with its figure"),
            Blank("fault", "at fault", value=FAULTS[0], choices=FAULTS),
        ]
        sheet = ScanSheet("A part came back: it did not fit", blanks)
        self.app.push_screen(sheet, lambda values: self._came_back(values) if values else None)

    def _came_back(self, values: Values) -> None:
        mistagged = values["fault"] == FAULTS[1]
        job = lambda: did_not_fit(self.book, self.who, values["tag"], values["why"], part_at_fault=mistagged).words  # noqa: E731
        self.decide(job)

    def action_close(self) -> None:
        """Ask why the rule is closed, or the chain left one."""
        code, chain = self.code, self.chain
        if code or chain is not None:
            title = f"Close {code}" if code else "Leave it a chain"
            sheet = FormSheet(title, [Blank("reason", "reason")])
            self.app.push_screen(sheet, lambda values: self._close(code, chain, values) if values else None)

    def _close(self, code: str, chain: ChainRow | None, values: Values) -> None:
        reason = values["reason"]
        if chain is not None and not code:
            self.decide(lambda: decline(self.book, self.who, chain.number, reason))
        else:
            self.decide(lambda: close(self.book, self.who, code, reason).words)

    def action_confirm(self) -> None:
        """Make the chain a rule."""
        chain = self.chain
        if chain is not None:
            self.decide(lambda: confirm(self.book, self.who, chain.number).words)

    def action_kept(self) -> None:
        """Count the kept sales."""
        self.decide(lambda: count_kept(self.book, self.who).words)

    def action_faults(self) -> None:
        """Look for faults."""
        self.app.push_screen(FaultsView(self.book, self.who))


def settle_sheet(code: str) -> FormSheet:
    """What settles a rule."""
    blanks = [
        Blank("measured", "measured", hint="with its figures; empty if nothing was"),
        Blank("tool", "tool", hint="may be empty"),
        Blank("why", "why", hint="where the rule is innocent"),
        Blank("says", "says now", hint=f"empty: it stands; or {', '.join(Grade)}"),
        Blank("over", "wins over", hint="a rule that is closed by it; may be empty"),
    ]
    return FormSheet(f"Settle {code}", blanks, check=_settles)


def _settles(values: Values) -> None:
    if not values["measured"].strip() and not values["why"].strip():
        raise BadInput("neither a measurement nor a why", "Type one of them.", place="measured")
    says = values["says"].strip()
    if says and says not in list(Grade):
        raise BadInput(f"{says!r} is no grade", f"Grades are {', '.join(Grade)}.", place="says")


class FaultsRead(Message):
    """What is wrong with the rules."""

    def __init__(self, found: RuleCheck) -> None:
        super().__init__()
        self.found = found


class FaultsView(Page):
    """The findings of a check of all rules."""

    NAME = "office · faults of rules"
    HELP_WORDS = "Nothing is changed by looking. Enter shows a finding in full, with a part and a vehicle it shows on."

    def __init__(self, book: Book, who: Who) -> None:
        super().__init__(book, who)
        self.findings: dict[str, RuleFinding] = {}

    def body(self) -> Iterable[Widget]:
        """How many there are, then the list."""
        yield Words("looking through the rules …", id="counted", classes="quiet")
        yield Board(id="faults")

    def on_screen_resume(self) -> None:
        """Look."""
        self.reads("faults", lambda: FaultsRead(check_rules(self.book)))

    def on_faults_read(self, message: FaultsRead) -> None:
        """Show it."""
        found = message.found
        self.findings = {f"{number}": each for number, each in enumerate(found.findings)}
        self.query_one("#counted", Words).say(f"{found.in_all:,} found in {found.rules:,} rules")
        by_kind: dict[str, list[tuple[str, Content]]] = {str(kind): [] for kind, _ in found.counts}
        for name, each in self.findings.items():
            by_kind[str(each.kind)].append((name, say_finding(each, self.fold)))
        counts = dict(found.counts)
        groups = [Lines(kind, rows, of=counts[kind]) for kind, rows in by_kind.items()]
        self.query_one(Board).show_groups(groups or [Lines("findings", [])])
        self.query_one(Board).focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter shows a finding in full."""
        event.stop()
        each = self.findings.get(event.option.id or "")
        if each is not None:
            said = [each.words, each.remedy, f"Such as {each.example}" if each.example else ""]
            self.app.push_screen(Notice(f"{each.kind}: {each.place}", "\n".join(word for word in said if word)))


def say_dispute(row: RuleRow, fold: int = 0) -> Content:
    """A disputed rule in the list."""
    if fold:
        return folded(f" {row.code}", ", ".join(row.parts), [row.tally, row.state_reason], fold)
    return joined(
        (left(f" {row.code}", 8), "bold"), column(", ".join(row.parts), 26), column(row.tally, 24), row.state_reason
    )


def say_chain(row: ChainRow, fold: int = 0) -> Content:
    """A chain in the list."""
    kept = f"{row.kept} kept"
    if fold:
        return folded(f" {row.number}", kept, [row.pairing.words, " ".join(row.chain)], fold)
    return joined(
        (left(f" {row.number}", 8), "bold"), column(row.pairing.words, 40), column(kept, 10), " ".join(row.chain)
    )


def say_finding(each: RuleFinding, fold: int = 0) -> Content:
    """A finding in the list."""
    if fold:
        return folded(f" {each.code}", each.place, [each.words], fold)
    return joined((left(f" {each.code}", 8), "bold"), column(each.place, 26), each.words)


def say_rule(sheet: RuleSheet) -> Content:
    """A rule in full."""
    row = sheet.row
    says = row.grade.said if row.grade else row.kind
    told: list[Content | str] = [
        plain(f"{', '.join(row.parts)}: {says}", "bold"),
        f"{row.direction}; {row.why}",
        f"{row.state} {row.state_on or ''} {row.state_reason}".strip(),
        row.tally,
        *sheet.conditions,
        *(f"work: {each}" for each in sheet.work),
        *(f"with: {each}" for each in sheet.companions),
        *(f"then: {each}" for each in sheet.consequences),
        *(f"evidence: {each}" for each in sheet.evidence),
        *(f"{each.at.astimezone():%Y-%m-%d %H:%M} {each.by}: {each.words}" for each in sheet.history),
    ]
    return lines([each for each in told if each])
