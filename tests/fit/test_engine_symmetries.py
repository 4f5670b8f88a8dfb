"""What must change no answer: other names, what was taken for granted said aloud, strangers beside, a coarser tape."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from app.fit.answers import Answer
from app.fit.decide import Judge
from app.fit.engine import answer
from app.fit.known import Identity, Known, ModelInfo, Offer, Subject
from app.fit.rules import Condition, Rule
from app.fit.terms import Grade
from app.fit.worlds import NO_SUCH
from tests.fit.small_yard_rules import FACTS, NUMBERS
from tests.fit.small_yards import Yard, small_yard, winding_yard

YARDS = st.one_of(st.integers(0, 10**6).map(small_yard), st.integers(0, 10**6).map(winding_yard))
SOME = settings(max_examples=150, deadline=None, derandomize=True)
Shown = list[list[tuple[tuple[str, ...], Grade, int]]]


def shown(yard: Yard) -> Shown:
    found: Answer = answer(yard.asked, yard.target, yard.offers, yard.stock, yard.know)
    parts = (found.answers, found.not_what_was_asked, found.do_not_sell)
    return [[(line.tags, line.grade, line.price_cents) for line in lines] for lines in parts]


class Renamed:
    """A yard whose models, rules and tags have other names; tags keep their order, for the list goes by it."""

    def __init__(self, yard: Yard, random: Random) -> None:
        names = random.sample(("Zed", "Ash", "Mid", "Bow"), len(yard.know.models))
        self._keys = dict(zip(yard.know.models, names, strict=True))
        numbers = random.sample(range(100, 1000), len(yard.know.rules))
        self._codes = {rule.code: f"Q{number}" for rule, number in zip(yard.know.rules, numbers, strict=True)}
        self._models = {id(each): self._model(each) for each in yard.know.models.values()}
        # What is one vehicle stays one.
        self._identities: dict[int, Identity] = {}

    def yard(self, yard: Yard) -> Yard:
        know = replace(
            yard.know,
            rules=tuple(map(self._rule, yard.know.rules)),
            moves=tuple(
                replace(each, rule=self._rule(each.rule), moves=self._codes[each.moves]) for each in yard.know.moves
            ),
            uses=tuple(replace(each, model=self._keys[each.model]) for each in yard.know.uses),
            models={each.key: each for each in self._models.values()},
        )
        vehicles = {group: tuple(map(self._identity, every)) for group, every in yard.target.identities.items()}
        target = replace(yard.target, identities=vehicles)
        return Yard(target, tuple(map(self._offer, yard.offers)), tuple(map(self._offer, yard.stock)), know)

    def _model(self, model: ModelInfo) -> ModelInfo:
        return replace(model, key=self._keys[model.key], name=self._keys[model.key])

    def _identity(self, identity: Identity) -> Identity:
        new = replace(identity, model=self._models[id(identity.model)])
        return self._identities.setdefault(id(identity), new)

    def _rule(self, rule: Rule) -> Rule:
        return replace(
            rule, code=self._codes.get(rule.code, rule.code), conditions=tuple(map(self._condition, rule.conditions))
        )

    def _condition(self, each: Condition) -> Condition:
        return replace(each, values=tuple(map(self._keys.__getitem__, each.values))) if each.fact == "model" else each

    def _offer(self, offer: Offer) -> Offer:
        assert offer.subject.identity is not None
        subject = replace(offer.subject, identity=self._identity(offer.subject.identity))
        return replace(offer, tag=f"N{offer.tag}", subject=subject)


@SOME
@given(YARDS, st.integers(0, 1000))
def test_other_names_of_models_rules_and_tags_are_the_same_answers(yard: Yard, seed: int) -> None:
    mine = [[(tuple(f"N{tag}" for tag in tags), *rest) for tags, *rest in lines] for lines in shown(yard)]
    theirs = [[(tags, *rest) for tags, *rest in lines] for lines in shown(Renamed(yard, Random(seed)).yard(yard))]
    assert theirs == mine


@SOME
@given(YARDS)
def test_what_could_not_be_otherwise_may_be_said_and_changes_nothing(yard: Yard) -> None:
    before = shown(yard)
    for name, value in _taken_for_granted(yard):
        facts = {**yard.target.facts, name: Known(value, None, "customer")}
        assert shown(replace(yard, target=replace(yard.target, facts=facts))) == before, (name, value)


def _taken_for_granted(yard: Yard) -> Iterator[tuple[str, str]]:
    """Facts of the vehicle that nobody said and that are one thing in every world of every part."""
    judge = Judge(yard.target, yard.know)
    worlds = [
        world
        for offer in yard.offers
        if (decision := judge.decide(offer)) is not None
        for _, theirs, _ in decision.merged.found
        for world in theirs.members
    ]
    # A figure may be listed with a doubt; what was said of it has none.
    for name in FACTS.keys() - set(NUMBERS) - yard.target.facts.keys():
        looked_at = [world for world in worlds if name in world]
        values = {world[name].value for world in looked_at}
        if len(values) == 1 and NO_SUCH not in values and len(looked_at) == len(worlds):
            yield name, values.pop()


@SOME
@given(YARDS)
def test_parts_off_vehicles_of_another_family_change_no_other_answer(yard: Yard) -> None:
    if yard.target.quantity is not None:
        return
    strange = ModelInfo("X9", "Kellgate", "Elsewhere", "", "", "Elsewhere", "", "", 2007, 2008)
    beside = tuple(_off(strange, number, each) for number, each in enumerate(yard.offers))
    know = replace(yard.know, models={**yard.know.models, "X9": strange})
    more = shown(replace(yard, offers=(*beside, *yard.offers), know=know))
    assert [[line for line in lines if line[0][0][0] != "Z"] for lines in more] == shown(yard)


def _off(model: ModelInfo, number: int, offer: Offer) -> Offer:
    subject = Subject(Identity(model), {}, {}, offer.subject.side, offer.subject.part_type, offer.subject.pieces)
    return replace(offer, tag=f"Z{number:03d}", subject=subject, design="")


@SOME
@given(YARDS, st.sampled_from((0.5, 3.0, 12.0)))
def test_what_is_to_be_measured_bolts_up_by_no_coarser_tape(yard: Yard, more_mm: float) -> None:
    judge = Judge(yard.target, yard.know)
    for offer in yard.offers:
        taken, decision = offer.subject.facts.get("length"), judge.decide(offer)
        if taken is None or decision is None or decision.grade is not Grade.MEASURE:
            continue
        coarser = {**offer.subject.facts, "length": replace(taken, u_mm=(taken.u_mm or 0.0) + more_mm)}
        again = judge.decide(replace(offer, subject=replace(offer.subject, facts=coarser)))
        assert again is not None
        assert again.grade not in (Grade.BOLTS_UP, Grade.MOVE_OVER, Grade.SET)
