"""How an answer reads at the counter: where it is, a line in full, what it takes, money."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.content import Content

from app.book.money import dollars
from app.book.tickets import SoldLine, SoldRow
from app.fit.answers import Answer, AnswerLine, WorkLine
from app.screens.parts.keys import NARROW
from app.screens.parts.plain import hanging, joined, left, lines, right

if TYPE_CHECKING:
    from app.book.takes import Takes

OLD = 60
"""Days since a place was seen by scan after which somebody must look before anything is promised."""
MOST_NAMED = 4
"""Tags of one reason that are named."""
HANGING = 5


def seen(days: int | None, *, brief: bool = False) -> str:
    """When a place was last seen by scan, in words, and where there is little room without the word "seen"."""
    if days is None:
        return ""
    if days >= OLD:
        return f"{days // 30} months ago"
    words = f"{days} day{'s' if days != 1 else ''} ago" if days else "today"
    return words if brief else f"seen {words}"


def where(line: AnswerLine, *, brief: bool = False) -> str:
    """Where the part is, and when it was seen there; a `brief` one counts the places after the first."""
    places = list(dict.fromkeys(line.where))
    named = f"{places[0]} +{len(places) - 1}" if brief and len(places) > 1 else ", ".join(places)
    still_on = all(place.startswith("still on") for place in places)
    words = "" if still_on else seen(line.seen_days, brief=brief)
    return f"{named}, {words}" if words else named


def work_words(operations: Sequence[WorkLine]) -> str:
    """The work with its hours."""
    said = []
    for each in operations:
        hours = f", {each.hours} h" if each.hours is not None else ""
        by_whom = f", {each.by_whom}" if each.by_whom else ""
        said.append(f"{each.work}{hours}{by_whom}")
    return "; ".join(said)


def folded(answer: Answer, *, unfolded: bool, width: int) -> str:
    """How much is kept apart, and the key that shows it, on one line."""
    counts = []
    if answer.do_not_sell:
        counts.append(f"do not sell: {len(answer.do_not_sell)}{' more' if width >= NARROW else ''}")
    if answer.kept:
        counts.append(f"{'somebody has' if width >= NARROW else 'kept'}: {len(answer.kept)}")
    if not counts:
        return ""
    indent = "    " if width >= NARROW else ""
    return f"{indent}{', '.join(counts)}, {'d folds them' if unfolded else 'under d'}"


def pair(label: str, words: str, width: int, style: str = "") -> list[Content]:
    """A label and its words, wrapped under themselves."""
    return hanging(label, words, HANGING, width, style, "$quiet")


def in_full(line: AnswerLine, width: int) -> Content:
    """Everything about a line, for reading."""
    price = dollars(line.price_cents) + (f", core {dollars(line.core_cents)}" if line.core_cents else "")
    rows = [
        *(("tag", f"{tag} {name}") for tag, name in zip(line.tags, line.names, strict=False)),
        ("fit", line.grade.said),
        ("say", line.say),
        ("care", " ".join(line.cautions)),
        *(("why", reason) for reason in line.reasons),
        ("work", work_words(line.operations)),
        ("with", ", ".join(line.companions)),
        ("but", "; ".join(line.consequences)),
        ("?", "; ".join(line.unknowns)),
        ("proof", "; ".join(line.evidence)),
        ("rules", ", ".join(line.rules)),
        ("facts", ", ".join(f"{name} {value}" for name, value in line.facts)),
        ("where", where(line)),
        ("off", ", ".join(line.donors)),
        ("price", price),
    ]
    return lines(row for label, words in rows for row in hanging(label, words, HANGING + 1, width, "", "$quiet"))


def takes_words(rows: Sequence[Takes], width: int) -> Content:
    """Each reading of what was wanted with its plans, cheapest complete one first."""
    said: list[Content] = []
    for row in rows:
        said.append(joined((row.reading, "bold")))
        if not row.plans:
            said.append(Content("nothing in stock goes on"))
        for number, plan in enumerate(row.plans, 1):
            hours = f", {plan.hours.normalize():f} h of work {dollars(plan.labor_cents)}" if plan.hours else ""
            head = f"{dollars(plan.total_cents)} in all, {plan.grade.said}: parts {dollars(plan.parts_cents)}{hours}"
            said += hanging(str(number), head, HANGING, width, "bold", "$accent")
            for label, words in (
                ("tags", " + ".join(plan.tags)),
                ("work", work_words(plan.work)),
                ("but", "; ".join(plan.consequences)),
                ("?", "; ".join(plan.unknowns)),
                ("not", "; ".join(plan.missing)),
                ("care", " ".join(plan.cautions)),
            ):
                said += pair(label, words, width)
        for words in _by_reason(row.refused):
            said += pair("no", words, width)
    if rows and rows[0].not_understood:
        said.append(joined((f"not understood: {', '.join(rows[0].not_understood)}", "bold $accent")))
    return lines(said or [Content("nothing that was said is a part the yard knows")])


def _by_reason(refused: Sequence[str]) -> list[str]:
    """What does not go on ("need: tag: why"), those of one reason together with how many more there are."""
    found: dict[tuple[str, str], list[str]] = {}
    for each in refused:
        need, tag, why = (*each.split(": ", 2), "", "")[:3]
        found.setdefault((need, why), []).append(tag)
    return [f"{need}: {why} {_some(tags)}" for (need, why), tags in found.items()]


def _some(tags: Sequence[str]) -> str:
    more = f" and {len(tags) - MOST_NAMED} more" if len(tags) > MOST_NAMED else ""
    return f"({', '.join(tags[:MOST_NAMED])}{more})"


def money_rows(ticket: SoldRow, width: int) -> list[Content]:
    """The lines and totals of a ticket, figures right-aligned."""
    said = [row for line in ticket.lines for row in _money_row(line, width)]
    rows: list[tuple[str, str]] = []
    if ticket.discount_cents:
        rows.append(("discount", dollars(-ticket.discount_cents)))
    if ticket.core_cents:
        rows.append(("core", dollars(ticket.core_cents)))
    tax = f"tax, exempt {ticket.exempt_number}" if ticket.exempt_number else f"tax {ticket.tax_rate} %"
    rows.append((tax, dollars(ticket.tax_cents)))
    if ticket.deposit_cents:
        rows.append(("deposit paid before", dollars(-ticket.deposit_cents)))
    said += [joined(left(words, width - 12), right(figure, 10)) for words, figure in rows]
    return [*said, joined((left("total", width - 12), "bold"), (right(dollars(ticket.total_cents), 10), "bold"))]


def _money_row(line: SoldLine, width: int) -> list[Content]:
    """A line of a ticket with its price behind its first words; nothing of what is sold is cut off."""
    words, room = [row.plain for row in hanging(line.tag, line.words, len(line.tag) + 2, width - 12)], width - 12
    first, *more = words or [line.tag]
    return [joined(left(first, room), right(dollars(line.price_cents), 10)), *(Content(row) for row in more)]
