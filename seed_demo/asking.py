"""A year of customers' questions: the words, what was understood, what was found, and the wants that stayed."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import accumulate

from app.book.schema import Ask, Outcome, Refusal, Want
from app.fit.terms import Grade, Side
from seed_demo.known import ModelKnown, TypeKnown
from seed_demo.selling import clerk
from seed_demo.stock import Piece
from seed_demo.yard import Yard, phone, some

ASKS = 5_000
TODAY = 5
WANT_PERCENT = 12
WANT_DAYS = 180
REFUSALS = 14
REASONS = (
    "title in another name",
    "ID expired",
    "no photo ID",
    "VIN plate loose",
    "frame stamp ground off",
    "lien shown",
)
CLASS_WORDS = {"light": ("half ton", "light", ""), "heavy": ("three quarter ton", "heavy", "hd")}
SIDE_WORDS = {Side.LH: ("lh", "left", "driver side", "l"), Side.RH: ("rh", "right", "passenger side", "r")}


class _Stock:
    """The parts by type and model, to say what an ask found at its time."""

    def __init__(self, pieces: Sequence[Piece]) -> None:
        self.found: dict[tuple[str, str], list[Piece]] = defaultdict(list)
        for piece in pieces:
            self.found[piece.kind.name, piece.vehicle.models[piece.kind.group].key].append(piece)

    def at(self, at: datetime, kind: TypeKnown, model: ModelKnown, side: Side) -> list[Piece]:
        """What stood here then."""
        return [
            piece
            for piece in self.found[kind.name, model.key]
            if piece.made_at <= at and (piece.left_at is None or piece.left_at > at) and side in (Side.NONE, piece.side)
        ]


def write_asks(yard: Yard, pieces: Sequence[Piece]) -> None:
    """Every ask of the year in order of time, with the wants of those that found nothing."""
    rng = yard.chances("asks")
    stock = _Stock(pieces)
    names = list(yard.known.part_habits)
    shares = list(accumulate(habit.share for habit in yard.known.part_habits.values()))
    days = [rng.randrange(1, 365) for _ in range(ASKS - TODAY)] + [0] * TODAY
    moments = sorted(yard.moment(ago, rng) for ago in days)
    kinds = rng.choices(names, cum_weights=shares, k=ASKS)
    for number, (at, name) in enumerate(zip(moments, kinds, strict=True), start=1):
        _ask(yard, stock, number, at, yard.known.types[name], rng)


def _ask(yard: Yard, stock: _Stock, number: int, at: datetime, kind: TypeKnown, rng: random.Random) -> None:
    model = _model(yard, kind, rng)
    year = rng.randint(model.year_from, model.year_to)
    side = rng.choice([Side.LH, Side.RH]) if kind.sided and some(rng, 85) else Side.NONE
    words, facts = _words(yard, kind, model, year, side, rng)
    found = stock.at(at, kind, model, side)
    best = str(Grade.BOLTS_UP) if found else ""
    tags = [piece.tag for piece in found[:9]]
    seat, by = clerk(yard, at, rng)
    yard.ledger.add(
        Ask,
        number=number,
        at=at,
        seat=seat,
        by_=by,
        words=words,
        part_type_id=kind.id,
        model_id=model.id,
        understood=_understood(words, kind, model, year, side, facts),
        found=len(found),
        best_grade=best,
        tags=tags,
    )
    said = f", best {best}" if best else ""
    yard.ledger.note(at, seat, by, "ask", f"ask {number}", f"{words}: {len(found)} found{said}")
    if not found and some(rng, WANT_PERCENT):
        _want(yard, at, (seat, by), words, kind, model, year, side, facts, rng)


def _model(yard: Yard, kind: TypeKnown, rng: random.Random) -> ModelKnown:
    habits = yard.known.model_habits
    keys = [key for key in habits if key in yard.known.part_habits[kind.name].models]
    return yard.known.models[rng.choices(keys, [habits[key].share for key in keys])[0]]


def _words(
    yard: Yard, kind: TypeKnown, model: ModelKnown, year: int, side: Side, rng: random.Random
) -> tuple[str, dict[str, str]]:
    """A line as a customer says it, its words in any order."""
    facts: dict[str, str] = {}
    words = [f"{year % 100:02d}" if some(rng, 70) else str(year), model.name.lower()]
    if model.weight_class:
        said = rng.choice(CLASS_WORDS[model.weight_class])
        words.append(said)
        facts |= {"weight class": model.weight_class} if said else {}
    words.append(rng.choice(yard.known.spoken[kind.name]))
    if side is not Side.NONE:
        words.append(rng.choice(SIDE_WORDS[side]))
    if some(rng, 30):
        rng.shuffle(words)
    return " ".join(word for word in words if word), facts


def _understood(
    words: str, kind: TypeKnown, model: ModelKnown, year: int, side: Side, facts: dict[str, str]
) -> dict[str, object]:
    return {
        "words": words,
        "part": [kind.name],
        "side": str(side),
        "year": year,
        "built": None,
        "vehicle": [model.key],
        "facts": facts,
        "wants": [],
        "quantity": None,
        "chips": [],
        "meanings": [],
        "not_understood": [],
    }


def _want(
    yard: Yard,
    at: datetime,
    seat_by: tuple[str, str],
    words: str,
    kind: TypeKnown,
    model: ModelKnown,
    year: int,
    side: Side,
    facts: dict[str, str],
    rng: random.Random,
) -> None:
    number, name = yard.ledger.count(Want) + 1, yard.person(rng)
    still = yard.days_since(at) < WANT_DAYS and some(rng, 70)
    yard.ledger.add(
        Want,
        number=number,
        words=words,
        part_type_id=kind.id,
        model_id=model.id,
        year=year,
        side=str(side),
        facts=facts,
        contact_id=None,
        name=name,
        phone=phone(rng),
        most_cents=yard.known.part_habits[kind.name].high * 100 if some(rng, 40) else None,
        made_at=at,
        until=at + timedelta(days=WANT_DAYS),
        open=still,
        closed_by="" if still else rng.choice(["bought elsewhere", "found one here", "ran out"]),
    )
    yard.ledger.note(at, *seat_by, "want", f"want {number}", f"{words} for {name}")


def turn_away_some(yard: Yard) -> None:
    """Vehicles that the intake desk refused."""
    rng = yard.chances("refusals")
    moments = sorted(yard.moment(rng.randrange(1, 365), rng) for _ in range(REFUSALS))
    for number, at in enumerate(moments, start=1):
        reason, model = rng.choice(REASONS), rng.choice(list(yard.known.models.values()))
        yard.ledger.add(
            Refusal,
            number=number,
            vin="",
            words=f"{rng.randint(model.year_from, model.year_to)} {model.words}",
            reasons=[reason],
            photo="",
            offered_by=yard.person(rng),
            at=at,
            by_="IN",
        )
        words = f"turned away: {reason}"
        yard.ledger.note(at, "intake", "IN", "purchase", "", words, {"number": number}, Outcome.REFUSED)
