"""How an answer reads at the counter: the rows of its list, a line in full, what it takes, money."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.content import Content

from app.book.money import dollars, short_dollars
from app.book.tickets import SoldRow
from app.fit.answers import Answer, AnswerLine, WorkLine
from app.fit.terms import Grade
from app.screens.counter_ask import Entry
from app.screens.parts.keys import NARROW
from app.screens.parts.plain import clip, hanging, joined, left, lines, right

if TYPE_CHECKING:
    from app.book.takes import Takes

OLD = 60
"""Days since a place was seen by scan after which somebody must look before anything is promised."""
GRADE_WIDTH = 15
LONGEST_GRADE = 21
MOST_NAMED = 4
"""Tags of one reason that are named."""
HANGING = 5


def seen(days: int | None) -> str:
    """When a place was last seen by scan, in words."""
    if days is None:
        return ""
    if days >= OLD:
        return f"{days // 30} months ago"
    if days == 0:
        return "seen today"
    return f"seen {days} day{'s' if days != 1 else ''} ago"


def where(line: AnswerLine) -> str:
    """Where the part is, and when it was seen there."""
    places = ", ".join(dict.fromkeys(line.where))
    still_on = all(place.startswith("still on") for place in line.where)
    words = "" if still_on else seen(line.seen_days)
    return f"{places}, {words}" if words else places


def work_words(operations: Sequence[WorkLine]) -> str:
    """The work with its hours."""
    said = []
    for each in operations:
        hours = f", {each.hours} h" if each.hours is not None else ""
        by_whom = f", {each.by_whom}" if each.by_whom else ""
        said.append(f"{each.work}{hours}{by_whom}")
    return "; ".join(said)


def difference(line: AnswerLine, asked: Sequence[str] = ()) -> str:
    """The one thing that tells this line from the others; `asked` are the facts that the customer is asked for."""
    if line.grade in (Grade.SET, Grade.SET_SHORT) and line.companions:
        return f"with {', '.join(line.companions)}"
    if line.grade is Grade.MEASURE:
        # The question stands beneath the list once; what each part is, is what its answer is held against.
        facts = dict(line.facts)
        told = [(name, facts[name]) for name in asked if name in facts] or list(line.facts)
        return ", ".join(_fact(name, value) for name, value in told[:2]) or next(iter(line.unknowns), "")
    if line.grade is Grade.NEEDS_WORK and line.operations:
        hours = sum(each.hours or 0 for each in line.operations)
        return f"{hours} h of work" if hours else work_words(line.operations)
    if line.grade is Grade.WONT_FIT and line.reasons:
        return line.reasons[0]
    if line.consequences:
        return line.consequences[0]
    return ", ".join(_fact(name, value) for name, value in line.facts[:2])


def _fact(name: str, value: str) -> str:
    """A fact in short: its value, with its name where the value alone is a bare figure, yes or no."""
    if value.replace(".", "").isdigit():
        return f"{name} {value}"
    return {"yes": name, "no": f"no {name}"}.get(value, value)


def grade_width(entries: Sequence[Entry]) -> int:
    """Columns that the longest grade on the list needs."""
    said = [len(entry.line.grade.said) for entry in entries if entry.line is not None]
    return min(max([GRADE_WIDTH, *said]), LONGEST_GRADE)


def entry_row(
    entry: Entry, width: int, grade: int, *, in_basket: bool, named: bool = False, asked: Sequence[str] = ()
) -> Content:
    """A row of the answer list, its figures right-aligned, `named` with the part; `grade` is that column's width."""
    if entry.heading:
        return Content(f"    {entry.heading}")
    if entry.found is not None:
        digit = str(entry.rank) if 0 < entry.rank <= 9 else ""
        lead = left(entry.found.lead, LONGEST_GRADE + 2) if entry.found.lead else ""
        return joined((f"{digit:>2}  ", "bold $accent"), lead, clip(entry.found.words, width - 4 - len(lead)))
    if entry.kept is not None:
        return Content(f"    {clip(f'{entry.kept.tag} {entry.kept.name}: {entry.kept.words}', width - 4)}")
    line = entry.line
    assert line is not None
    digit = str(entry.rank) if 0 < entry.rank <= 9 else ""
    mark = "+" if in_basket else " "
    # What is not to be sold has no price; its tag says which one it is.
    price = right(short_dollars(line.price_cents) if entry.for_sale else line.tags[0], 7)
    head: list[str | tuple[str, str]] = [(f"{digit:>2}{mark} ", "bold $accent"), left(line.grade.said, grade), price]
    if width < NARROW:
        return joined(*head, "  ", clip(line.where[0] if line.where else "", width - grade - 13))
    rest = width - grade - 21
    place_width = min(23, rest * 6 // 10)
    place = left(where(line), place_width)
    told = ", ".join(filter(None, (line.names[0] if named else "", difference(line, asked))))
    words = _tagged(clip(told, rest - place_width), entry, rest - place_width)
    return joined(*head, "  ", left(str(line.condition), 4), "  ", place, "  ", words)


def _tagged(words: str, entry: Entry, width: int) -> str:
    """The last words of a row, with its tag at the right end where there is room."""
    line = entry.line
    if line is None or not entry.for_sale:
        return words
    tag = line.tags[0] + (f" +{len(line.tags) - 1}" if len(line.tags) > 1 else "")
    room = width - cell_len(tag)
    return left(words, room) + tag if cell_len(words) + 2 <= room else words


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
    rows = [(f"{line.tag}  {line.words}", dollars(line.price_cents)) for line in ticket.lines]
    if ticket.discount_cents:
        rows.append(("discount", dollars(-ticket.discount_cents)))
    if ticket.core_cents:
        rows.append(("core", dollars(ticket.core_cents)))
    tax = f"tax, exempt {ticket.exempt_number}" if ticket.exempt_number else f"tax {ticket.tax_rate} %"
    rows.append((tax, dollars(ticket.tax_cents)))
    if ticket.deposit_cents:
        rows.append(("deposit paid before", dollars(-ticket.deposit_cents)))
    said = [joined(left(words, width - 12), right(figure, 10)) for words, figure in rows]
    return [*said, joined((left("total", width - 12), "bold"), (right(dollars(ticket.total_cents), 10), "bold"))]
