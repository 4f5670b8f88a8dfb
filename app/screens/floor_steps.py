"""The questions of a harvest, one after the other, and what comes of the answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from app.book.facts import Seen, tool_named
from app.book.harvest import Harvest, LookFor, TypeRow
from app.book.money import parse_money
from app.errors import BadInput
from app.fit.lengths import Tool, parse_length
from app.fit.terms import Condition, Side

IN_HAND = "in my hand: make the tag"
STILL_ON = "still on the vehicle: list it"
DIGIT = "its digit"
CONDITIONS = {
    "A, clean and ready": Condition.A,
    "B, usable: wear or small mends": Condition.B,
    "C, needs work": Condition.C,
    "core, to be rebuilt": Condition.CORE,
    "scrap": Condition.SCRAP,
}


@dataclass(frozen=True, slots=True)
class Step:
    """One question a screen: its name among the answers, choices by digit or a typed answer."""

    name: str
    question: str
    choices: tuple[str, ...] = ()
    hint: str = ""
    optional: bool = False
    must_read: tuple[str, ...] = ()
    kind: str = "words"
    allowed: tuple[str, ...] = ()


PART = Step("part", "Which part is it?", hint="type a word of it")
SIDE = Step("side", "Which side, as seated facing forward?", (str(Side.LH), str(Side.RH)), hint=DIGIT)
CONDITION = Step("condition", "What condition is it in?", choices=tuple(CONDITIONS), hint=DIGIT)
DAMAGE = Step("damage", "What is wrong with it? Size and place.", hint="Enter: nothing to say", optional=True)
PRICE = Step("price", "Price in dollars?", hint="Enter: the owner prices it", optional=True, kind="money")
SURE = Step("sure", "Is the part in your hand?", choices=(IN_HAND, STILL_ON), hint=DIGIT)


def steps(kind: TypeRow | None, answers: Mapping[str, str]) -> tuple[Step, ...]:
    """The questions for a part type, given what was answered so far."""
    if kind is None:
        return (PART,)
    found = [PART]
    care = _care(kind)
    if care:
        found.append(Step("care", "Read this before you start", choices=("read",), must_read=care, hint="Enter: read"))
    if kind.sided:
        found.append(SIDE)
    if kind.positions:
        found.append(Step("position", "Which position?", choices=kind.positions, hint=DIGIT))
    found.append(CONDITION)
    if not answers.get("condition", "").startswith("A"):
        found.append(DAMAGE)
    for look in kind.look_for:
        found += _look(look, answers)
    return (*found, _weight(kind), PRICE, SURE)


def _care(kind: TypeRow) -> tuple[str, ...]:
    first = f"Comes off after: {', '.join(kind.comes_off_after)}." if kind.comes_off_after else ""
    return tuple(words for words in (*(hazard.caution for hazard in kind.hazards), first) if words)


def _look(look: LookFor, answers: Mapping[str, str]) -> list[Step]:
    choices = ("yes", "no") if look.kind == "yes or no" else look.choices
    # The first figure of a choice would be taken for the digit of a line, so such a one is typed.
    digits = any(choice[:1].isdigit() for choice in choices)
    typed = look.kind == "length" or not choices or len(choices) > 9 or digits
    step = Step(
        f"fact {look.fact}",
        look.question or f"{look.fact}?",
        choices=() if typed else choices,
        hint=f"{_like(look, typed=typed)}Enter: not looked",
        optional=True,
        kind=look.kind,
        allowed=choices if typed and look.kind != "length" else (),
    )
    if look.kind == "length" and answers.get(step.name):
        return [step, Step(f"tool {look.fact}", f"Measured with what? ({look.fact})", choices=tuple(Tool), hint=DIGIT)]
    return [step]


def _like(look: LookFor, *, typed: bool) -> str:
    if look.kind == "length":
        return "inches: 17 1/4; "
    if look.choices:
        return "its beginning; " if typed else "its digit; "
    return "" if look.kind == "yes or no" else f"{look.unit or look.kind}; "


def _weight(kind: TypeRow) -> Step:
    usual = f"usually {kind.usual_weight_lb}; " if kind.usual_weight_lb is not None else ""
    return Step("weight", "Weight in pounds?", hint=f"{usual}Enter: not weighed", optional=True, kind="weight")


def read_answer(step: Step, typed: str) -> str:
    """What was typed as the answer to a step: a choice spelled out, or the words if they can be so.

    Raises:
        BadInput: nothing was picked, or it is no weight, money, length or number.
    """
    plain = " ".join(typed.split())
    if not plain:
        if step.optional:
            return ""
        raise BadInput("pick one", "Type its digit.", place=step.name)
    if step.choices:
        return _choice(step, plain)
    if step.allowed:
        return _allowed(step, plain)
    _check(step, plain)
    return plain


def _allowed(step: Step, plain: str) -> str:
    """The choice that was typed, or that alone begins so."""
    same = [choice for choice in step.allowed if choice.lower() == plain.lower()]
    found = same or [choice for choice in step.allowed if choice.lower().startswith(plain.lower())]
    if len(found) != 1:
        raise BadInput(f"{plain!r} is none of the choices", f"Type {' or '.join(step.allowed)}.", place=step.name)
    return found[0]


def _choice(step: Step, plain: str) -> str:
    if plain.isdigit() and 1 <= int(plain) <= len(step.choices):
        return step.choices[int(plain) - 1]
    found = [choice for choice in step.choices if choice.lower().startswith(plain.lower())]
    if len(found) != 1:
        raise BadInput(f"{plain!r} is none of these", "Type the digit.", place=step.name)
    return found[0]


def _check(step: Step, plain: str) -> None:
    if step.kind == "money":
        parse_money(plain, place=step.name)
    elif step.kind == "length":
        parse_length(plain)
    elif step.kind in ("weight", "count", "number"):
        _number(plain, step.name)


def _number(plain: str, place: str) -> Decimal:
    try:
        figure = Decimal(plain.removesuffix("lb").strip().replace(",", ""))
    except InvalidOperation:
        raise BadInput(f"{plain!r} is not a number", "Type a plain number.", place=place) from None
    if not figure.is_finite():
        raise BadInput(f"{plain!r} is not a number", "Type a plain number.", place=place)
    return figure


def form_of(vehicle: str, answers: Mapping[str, str], sure: frozenset[str]) -> Harvest:
    """All answers as the harvest they describe."""
    facts = {
        name.removeprefix("fact "): _seen(name.removeprefix("fact "), value, answers)
        for name, value in answers.items()
        if name.startswith("fact ") and value
    }
    return Harvest(
        vehicle=vehicle,
        part_type=answers["part"],
        side=Side(answers.get("side", "")),
        position=answers.get("position", ""),
        condition=CONDITIONS[answers["condition"]],
        damage=answers.get("damage", ""),
        facts=facts,
        weight_lb=_number(answers["weight"], "weight") if answers.get("weight") else None,
        price_cents=parse_money(answers["price"], place="price") if answers.get("price") else 0,
        on_vehicle=answers.get("sure") == STILL_ON,
        sure=sure,
    )


def _seen(fact: str, value: str, answers: Mapping[str, str]) -> Seen:
    tool = answers.get(f"tool {fact}", "")
    return Seen(value, tool=str(tool_named(tool)) if tool else "")


def summary(answers: Mapping[str, str]) -> str:
    """What was answered so far, in one line."""
    skipped = ("care", "sure")
    said = []
    for name, value in answers.items():
        if not value or name in skipped or name.startswith("tool "):
            continue
        label = name.removeprefix("fact ")
        said.append(value if label in ("part", "side", "position") else f"{label} {value.split(',', maxsplit=1)[0]}")
    return " · ".join(said)
