"""What the bench found, in lines for people: the same on every seat and in the commands."""

from __future__ import annotations

from collections.abc import Iterator

from app.book.bench.holding import Compared, Damaged, Joined
from app.book.money import dollars
from app.fit.frames.comparison import MountCheck
from app.fit.frames.damage import ConditionCheck, Damage, DamageVerdict, PointMove
from app.fit.frames.verdicts import Verdict
from app.fit.lengths import in_words


def off(check: MountCheck) -> str:
    """How a mount is off on the axes that do not agree: "1.50 in forward, 1.25 in outboard"."""
    return ", ".join(
        f"{in_words(abs(axis.difference_mm))} {axis.direction}"
        for axis in check.axes
        if axis.verdict is not Verdict.SAME
    )


def followings(compared: Compared) -> Iterator[str]:
    """What follows for parts, one after the other, with the arithmetic; cautions once at the end."""
    found = compared.found
    for group in found.groups:
        yield f"{group.part} made for {group.made_for}, onto {group.onto}: {group.grade.said}"
        yield f"- {group.words}"
        # The body's arithmetic is that of its mounts, which stand in a table of their own.
        if len(group.arithmetic) < len(found.mounts):
            yield from (f"- {words}" for words in group.arithmetic)
    yield from (f"caution: {words}" for words in dict.fromkeys(w for group in found.groups for w in group.cautions))


def rails(compared: Compared) -> Iterator[str]:
    """Rails and suspension, one line for each thing compared."""
    for each in compared.found.rails:
        yield each.words
    for end in compared.found.suspension:
        yield end.words


def left_out(compared: Compared) -> Iterator[str]:
    """What only one of the two has, and what could not be used."""
    sides = (("A", compared.a, compared.found.only_a), ("B", compared.b, compared.found.only_b))
    for name, held, only in sides:
        yield from (f"only on {name}: {each}" for each in only)
        yield from (f"left out of {name}: {each}" for each in held.left_out)


def condition(check: ConditionCheck) -> str:
    """What a condition comes to, without its name and verdict, which stand beside it."""
    if check.number_mm is None:
        return ""
    return " ".join(check.words.removeprefix(f"{check.condition}: {check.verdict},").split())


def in_short(found: Damage) -> str:
    """The verdict with the conditions behind it: "bent: sag, twist; measure again: mash"."""
    by_verdict: dict[str, list[str]] = {}
    said: set[str] = set()
    for each in sorted(found.conditions, key=lambda each: list(DamageVerdict).index(each.verdict), reverse=True):
        name = str(each.condition)
        if each.verdict not in (DamageVerdict.STRAIGHT, DamageVerdict.NOT_MEASURED) and name not in said:
            said.add(name)
            by_verdict.setdefault(str(each.verdict), []).append(name)
    off = dict.fromkeys(each.name for each in found.points if each.verdict is DamageVerdict.BENT)
    if off:
        by_verdict = {str(DamageVerdict.BENT): [], **by_verdict}
        by_verdict[str(DamageVerdict.BENT)].append(f"{', '.join(off)} out of place")
    told = "; ".join(f"{verdict}: {', '.join(names)}" for verdict, names in by_verdict.items())
    signs = f"signs of bad repair: {', '.join(found.bad_repair)}" if found.bad_repair else ""
    return "; ".join(part for part in (told, signs) if part) or str(found.verdict)


def moved(move: PointMove) -> str:
    """How a point moved, without its name, which stands beside it."""
    return move.words.removeprefix(f"{move.name} {move.side}".rstrip()).removeprefix(": ")


def conditions(damaged: Damaged) -> Iterator[str]:
    """The five conditions, diagonals, signs of bad repair, and what it was measured from."""
    found = damaged.found
    for each in found.conditions:
        yield each.words if each.number_mm is not None else f"{each.condition}: {each.verdict}"
    for box, verdict in found.diagonals:
        yield f"{' '.join(['diagonals', *box.split()])}: {verdict.words}"
    yield from (f"sign of bad repair: {sign}" for sign in found.bad_repair)
    if found.base:
        yield f"measured from: {', '.join(found.base)}"
    yield from (f"left out: {each}" for each in damaged.survey.left_out)
    yield from (f"caution: {words}" for words in found.cautions)


def joint(joined: Joined) -> Iterator[str]:
    """Where two frames could be joined, every failed test, what it costs, and always the caution."""
    found = joined.found
    yield found.words
    yield from (f"place: {each.words}" for each in found.places)
    yield from (f"{each.what}: {each.result}, {each.words}" for each in found.failed)
    yield from (each.words for each in found.sound)
    yield found.cost.words
    said = (("labor", found.cost.labor_cents), ("parts", found.cost.parts_cents), ("in all", found.cost.total_cents))
    yield from (f"{name} {dollars(cents)}" for name, cents in said if cents is not None)
    yield from (f"only with: {words}" for words in found.conditions)
    yield from (f"caution: {words}" for words in found.cautions)
