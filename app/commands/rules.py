"""The yard's rules: read, doubted, settled, closed, checked; sales that prove them or speak against them."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from typing import TYPE_CHECKING, Any, cast

import click

from app.commands.desk import Desk, YardCommand, YardGroup
from app.commands.kinds import FACT, LIMIT, OneOf
from app.commands.show import lines_of, listed, pairs, table, when

if TYPE_CHECKING:
    from app.book.behind import Behind
    from app.book.evidence import ChainRow
    from app.book.rulefindings import RuleCheck
    from app.book.rulerows import RulePage, RuleSheet
    from app.book.ruling import Ruled
    from app.book.work import Book
    from app.fit.rules import RuleState
    from app.fit.terms import Grade

GRADE = OneOf("grade", "app.fit.terms:Grade")
STATE = OneOf("state", "app.fit.rules:RuleState")
KIND = OneOf("kind", "app.fit.rulechecks.rulefaults:Fault")


@click.group(cls=YardGroup, subcommand_metavar="list|show|dispute|settle|close|returned|kept|chains|confirm|check …")
def rules() -> None:
    """Read, doubt, settle, close and check the rules of fit.

    A rule in dispute says "measure first" until somebody enters a measurement or a why. A rule is closed with a
    reason and never deleted. What a sale stood on is kept with it: a return that did not fit disputes that.

    \b
    Examples:
      donorbook rules list --state disputed
      donorbook rules show R77
      donorbook rules returned P7K3M83 --why "hinge cups 0.25 off"
      donorbook rules settle R77 --measured "60.25 and 60.50, bushings take it" --tool "dial caliper"
      donorbook rules check
    """


@rules.command("list", cls=YardCommand)
@click.argument("words", nargs=-1)
@click.option("--part", default="", metavar="PART-TYPE", help="Those of one part type.")
@click.option("--state", type=STATE, help="open, disputed or closed.")
@click.option("--limit", default=200, type=LIMIT, show_default=True, help="How many at most.")
@click.pass_obj
def rule_list(desk: Desk, words: tuple[str, ...], part: str, state: Enum | None, limit: int) -> None:
    """List rules; words of their code, their why or their parts narrow the list.

    \b
    Examples:
      donorbook rules list --part tailgate
      donorbook rules list hinge --state open --json
    """
    from app.book.rulerows import rules as all_rules

    with desk.book() as book:
        page = all_rules(book, like=" ".join(words), part=part, state=cast("RuleState | None", state), limit=limit)
    desk.show({"rules": page.rows, "in_all": page.in_all}, lambda: _rule_lines(page))


def _rule_lines(page: RulePage) -> Iterator[str]:
    if page.rows:
        cells = [
            (
                row.code,
                row.grade.said if row.grade else "",
                row.state,
                row.words,
                row.state_reason or row.why,
                row.tally,
            )
            for row in page.rows
        ]
        yield from table(("rule", "fit", "state", "speaks of", "why", "sales"), cells)
    more = f" of {page.in_all:,}" if page.in_all > len(page.rows) else ""
    yield f"{listed(len(page.rows), 'rule')}{more}"


@rules.command("show", cls=YardCommand)
@click.argument("code")
@click.pass_obj
def rule_show(desk: Desk, code: str) -> None:
    """Show one rule with its conditions, work, evidence and history.

    \b
    Example:
      donorbook rules show R77
    """
    from app.book.rulerows import rule

    with desk.book() as book:
        sheet = rule(book, code)
    desk.show({"rule": sheet}, lambda: _sheet_lines(sheet))


def _sheet_lines(sheet: RuleSheet) -> Iterator[str]:
    row = sheet.row
    yield from pairs(
        [
            ("rule", row.code),
            ("says", row.grade.said if row.grade else row.kind),
            ("of", ", ".join(row.parts)),
            ("for", ", ".join(sheet.for_parts) if sheet.for_parts != row.parts else ""),
            ("direction", row.direction),
            ("why", row.why),
            ("state", f"{row.state} {row.state_on or ''} {row.state_reason}".strip()),
            ("sales", row.tally),
        ]
    )
    for lead, told in (
        ("where ", sheet.conditions),
        ("work ", sheet.work),
        ("with ", sheet.companions),
        ("then ", sheet.consequences),
        ("evidence ", sheet.evidence),
    ):
        yield from lines_of(told, lead)
    yield from lines_of(f"{when(each.at)}  {each.by}  {each.words}" for each in sheet.history)


@rules.command(cls=YardCommand)
@click.argument("code")
@click.option("--why", required=True, metavar="TEXT", help="What went wrong.")
@click.pass_obj
def dispute(desk: Desk, code: str, why: str) -> None:
    """Doubt a rule: until it is settled it says "measure first".

    \b
    Example:
      donorbook rules dispute R01 --why "bolts 3.75 apart on a 2012"
    """
    from app.book.ruling import dispute as put_in_dispute

    with desk.at("office") as (book, who):
        done = put_in_dispute(book, who, code, why)
    desk.show(done, lambda: lines_of([done.words]))


@rules.command(cls=YardCommand)
@click.argument("code")
@click.option("--measured", default="", metavar="TEXT", help="What was measured or counted, with its figures.")
@click.option("--why", default="", metavar="TEXT", help="What went wrong, where the rule is innocent.")
@click.option("--tool", default="", metavar="TEXT", help="With what it was measured.")
@click.option("--donor", "donors", multiple=True, metavar="STOCK", help="On which vehicle of ours; may be given again.")
@click.option(
    "--says",
    type=GRADE,
    help="The grade it comes to, if another: bolts_up, move_over, set, measure, bolts_in, needs_work, set_short, "
    "not_compared or wont_fit. The rule is closed and one of that grade written.",
)
@click.option("--over", default="", metavar="CODE", help="The rule that loses by it; it is closed.")
@click.pass_obj
def settle(desk: Desk, /, code: str, says: Enum | None, over: str, **proof: Any) -> None:
    """Settle a rule by a measurement or a why; it stands again with the yard's own evidence.

    \b
    Examples:
      donorbook rules settle R73 --measured "7 pins on ours, 7 on his" --donor D6 --over R74
      donorbook rules settle R77 --measured "0.25 off, the pins bind" --says wont_fit
      donorbook rules settle R77 --why "his was a first body"
    """
    from app.book.ruling import Proof
    from app.book.ruling import settle as settle_rule

    with desk.at("office") as (book, who):
        done = settle_rule(book, who, code, Proof(**proof), says=cast("Grade | None", says), over=over)
    desk.show(done, lambda: lines_of([done.words]))


@rules.command("close", cls=YardCommand)
@click.argument("code")
@click.option("--reason", required=True, metavar="WHY", help="Why; it stays on the rule.")
@click.pass_obj
def rule_close(desk: Desk, code: str, reason: str) -> None:
    """Close a rule with a reason. Only the owner does.

    \b
    Example:
      donorbook rules close R74 --reason "pins counted: 7 on both"
    """
    from app.book.ruling import close

    with desk.at("office") as (book, who):
        done = close(book, who, code, reason)
    desk.show(done, lambda: lines_of([done.words]))


@rules.command(cls=YardCommand)
@click.argument("tag")
@click.option("--why", required=True, metavar="TEXT", help="What did not fit, with its figure.")
@click.option("--vehicle", default="", metavar="WORDS", help="What it was for, where the sale did not say.")
@click.option("--fact", "facts", multiple=True, type=FACT, help="What is known of that vehicle.")
@click.option("--part-at-fault", is_flag=True, help="The part was not what its tag says: no rule is doubted.")
@click.pass_obj
def returned(
    desk: Desk, tag: str, why: str, vehicle: str, facts: tuple[tuple[str, str], ...], part_at_fault: bool
) -> None:
    """Write down that a sold part came back because it did not fit.

    The rule it was sold on is in dispute from then on. The money and the part's way back go by the sale ticket.

    \b
    Examples:
      donorbook rules returned P7K3M83 --why "hinge cups 0.25 off"
      donorbook rules returned P7K3M83 --vehicle "2009 tolliver light" --why "bolts 3.75 apart"
      donorbook rules returned P7K3M9U --why "oval plug after all" --part-at-fault
    """
    from app.book.evidence import did_not_fit

    with desk.at("counter") as (book, who):
        sold_on = _sold_on(book, tag, vehicle, dict(facts)) if vehicle else None
        back = did_not_fit(book, who, tag, why, sold_on=sold_on, part_at_fault=part_at_fault)
    desk.show(back, lambda: lines_of([back.words]))


def _sold_on(book: Book, tag: str, vehicle: str, facts: dict[str, str]) -> Behind:
    from app.book.behind import behind
    from app.book.reverse import why as why_so

    return behind(why_so(book, tag, vehicle, facts=facts))


@rules.command(cls=YardCommand)
@click.pass_obj
def kept(desk: Desk) -> None:
    """Count the sales whose return days are over as evidence for their rules.

    Each is counted once; the setting return_days says how long it takes.

    \b
    Example:
      donorbook rules kept
    """
    from app.book.evidence import count_kept

    with desk.at("office") as (book, who):
        found = count_kept(book, who)
    desk.show(found, lambda: lines_of([found.words, *(f"{code}: {count} more" for code, count in found.by_rule)]))


@rules.command(cls=YardCommand)
@click.pass_obj
def chains(desk: Desk) -> None:
    """List the chains that were sold and kept and wait to become rules.

    \b
    Example:
      donorbook rules chains
    """
    from app.book.evidence import chains_waiting

    with desk.book() as book:
        rows = chains_waiting(book)
    desk.show({"chains": rows}, lambda: _chain_lines(rows))


def _chain_lines(rows: tuple[ChainRow, ...]) -> Iterator[str]:
    if rows:
        cells = [
            (
                str(row.number),
                row.pairing.words,
                " then ".join(row.chain),
                str(row.kept),
                " ".join(map(str, row.tickets)),
            )
            for row in rows
        ]
        yield from table(("chain", "of what on what", "by", "kept", "tickets"), cells, figures=[0, 3])
    yield listed(len(rows), "chain")


@rules.command(cls=YardCommand)
@click.argument("chain", type=int)
@click.option("--leave", default="", metavar="WHY", help="Leave it a chain, with the reason.")
@click.pass_obj
def confirm(desk: Desk, chain: int, leave: str) -> None:
    """Make a kept chain a rule of its own, or leave it one.

    \b
    Examples:
      donorbook rules confirm 1
      donorbook rules confirm 1 --leave "one sale is not enough"
    """
    from app.book.evidence import confirm as make_rule
    from app.book.evidence import decline

    with desk.at("office") as (book, who):
        done: Ruled | dict[str, str] = (
            {"words": decline(book, who, chain, leave)} if leave else make_rule(book, who, chain)
        )
    desk.show(done, lambda: lines_of([done["words"] if isinstance(done, dict) else done.words]))


@rules.command(cls=YardCommand)
@click.option(
    "--kind",
    "kinds",
    multiple=True,
    type=KIND,
    help='One kind: "dead reference", "never holds", unreachable, contradiction or "one way only".',
)
@click.option("--limit", default=200, type=LIMIT, show_default=True, help="How many of a kind at most.")
@click.pass_obj
def check(desk: Desk, kinds: tuple[Enum, ...], limit: int) -> None:
    """Check the rules for what cannot be meant.

    Names of nothing, conditions that never hold, rules always beaten, rules at odds with each other, and
    one-way rules whose other direction nobody considered. Nothing is changed. Status 1 when something is found.

    \b
    Examples:
      donorbook rules check
      donorbook rules check --kind contradiction --json
    """
    from app.book.rulefindings import check_rules

    with desk.book() as book:
        found = check_rules(book, kinds=[str(kind.value) for kind in kinds], limit=limit)
    counts = dict(found.counts)
    record = {"sound": not found.in_all, "findings": found.findings, "counts": counts, "rules": found.rules}
    desk.show(record, lambda: _check_lines(found))
    if found.in_all:
        raise SystemExit(1)


def _check_lines(found: RuleCheck) -> Iterator[str]:
    for each in found.findings:
        yield from lines_of([f"{each.code}, {each.kind}, {each.place}: {each.words}. {each.remedy}"])
        if each.example:
            yield from lines_of([f"    such as {each.example}"])
    said = ", ".join(f"{count:,} {kind}" for kind, count in found.counts)
    shown = f"; {len(found.findings):,} of {found.in_all:,} shown" if len(found.findings) < found.in_all else ""
    yield f"{found.rules:,} rules: {said or 'nothing found'}{shown}"
