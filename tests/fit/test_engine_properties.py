"""What holds of every answer, whatever the yard: tried on small random yards."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from app.fit.answers import Answer, AnswerLine
from app.fit.counts import exact_groups
from app.fit.engine import answer
from app.fit.known import DateMove, Identity, ModelInfo, Offer, Subject
from app.fit.rules import Condition, Direction, End, Evidence, EvidenceLine, Op, Rule, RuleKind, RuleState
from app.fit.terms import Condition as State
from app.fit.terms import Grade, Group, Side
from tests.fit.small_yard_rules import TODAY
from tests.fit.small_yards import Yard, small_yard

YARDS = st.integers(0, 10**6).map(small_yard)
SOME = settings(max_examples=150, deadline=None, derandomize=True)
OPEN = EvidenceLine(Evidence.MEASURED)
PRICE = re.compile(r"\d(?:[\d,]*\d)?(?:\.\d\d)?")


def asked(yard: Yard) -> Answer:
    return answer(yard.asked, yard.target, yard.offers, yard.stock, yard.know)


def shown(found: Answer) -> list[list[tuple[tuple[str, ...], Grade]]]:
    parts = (found.answers, found.not_what_was_asked, found.do_not_sell)
    return [[(line.tags, line.grade) for line in lines] for lines in parts]


def by_main(found: Answer) -> dict[str, AnswerLine]:
    return {line.tags[0]: line for line in (*found.answers, *found.not_what_was_asked, *found.do_not_sell)}


def without_rule(yard: Yard, code: str) -> Yard:
    rules = tuple(rule for rule in yard.know.rules if rule.code != code)
    moves = tuple(move for move in yard.know.moves if move.moves != code)
    return replace(yard, know=replace(yard.know, rules=rules, moves=moves))


@SOME
@given(YARDS)
def test_a_rule_taken_away_changes_only_the_answers_that_name_it(yard: Yard) -> None:
    """So it makes nothing better but where it was heard: it said no, was the cautious one, or stood before another.

    Left aside: lots to a count, which are put together out of each other, what was never compared, which names no
    rule, rules that alone look at a fact, because a fact that is looked at narrows what the vehicle can be, and rules
    that speak beside the links of a path, without which what was never compared may be reached.
    """
    if yard.target.quantity is not None:
        return
    before = by_main(asked(yard))
    for rule in yard.know.rules:
        others = [each for each in yard.know.rules if each.code != rule.code and each.state is not RuleState.CLOSED]
        if rule.code.startswith("R6") or _looks_at(rule) - {name for each in others for name in _looks_at(each)}:
            continue
        after = by_main(asked(without_rule(yard, rule.code)))
        for tag, line in before.items():
            if rule.code not in line.rules and line.grade is not Grade.NOT_COMPARED:
                assert tag in after, f"{rule.code} gone, and with it {tag}"
                assert after[tag].grade is line.grade, f"{tag} does not name {rule.code}"


def _looks_at(rule: Rule) -> set[str]:
    had = {companion.already_there.partition("=")[0] for companion in rule.companions}
    return ({each.fact for each in rule.conditions} | {each.other_fact for each in rule.conditions} | had) - {
        "",
        "model",
    }


@SOME
@given(YARDS)
def test_the_only_rule_of_a_fit_taken_away_leaves_never_compared_and_no_refusal(yard: Yard) -> None:
    before = by_main(asked(yard))
    for tag, line in before.items():
        if line.grade is not Grade.BOLTS_UP or len(line.rules) != 1 or yard.target.quantity is not None:
            continue
        after = by_main(asked(without_rule(yard, line.rules[0])))
        assert tag not in after or after[tag].grade in (Grade.NOT_COMPARED, Grade.BOLTS_UP, Grade.MEASURE)


@SOME
@given(YARDS)
def test_what_has_nothing_to_do_with_the_question_changes_nothing(yard: Yard) -> None:
    model = ModelInfo("X9", "Kellgate", "Elsewhere", "", "", "Elsewhere", "", "", 2007, 2008)
    rule = Rule(
        "R99",
        RuleKind.FIT,
        Grade.WONT_FIT,
        Direction.BOTH_WAYS,
        RuleState.OPEN,
        "doors only",
        frozenset({"door"}),
        frozenset({"door"}),
        evidence=(OPEN,),
    )
    far = replace(rule, code="R98", conditions=tuple(_names(end, "X9") for end in (End.PART, End.TARGET)))
    part = Offer(
        "S900", "door", "", "door", Subject(Identity(model), {}), "D99", State.A, 100, 0, True, "A1-1", None, TODAY
    )
    of_hub = replace(far, code="R97", offered_types=frozenset({"hub"}), wanted_types=frozenset({"hub"}), chains=False)
    # What rules about other vehicles look at, and how far apart they let figures be, says nothing of this one.
    looks = [Condition(End.BETWEEN, name, Op.SAME) for name in ("plug", "drive", "heated")]
    looking = replace(
        of_hub,
        code="R96",
        direction=Direction.ONE_WAY,
        conditions=(_names(End.TARGET, "X9"), Condition(End.TARGET, "built", Op.FROM, ("2007-09",)), *looks),
    )
    near = replace(
        looking,
        code="R95",
        kind=RuleKind.NUMBERS,
        conditions=(_names(End.TARGET, "X9"), Condition(End.BETWEEN, "length", Op.WITHIN, allowed="0.10 in")),
    )
    of_others = (looking, near) if yard.target.identities else ()
    know = replace(
        yard.know,
        rules=(of_hub, *of_others, rule, *yard.know.rules, far),
        models={"X9": model, **yard.know.models},
        groups={**yard.know.groups, "door": Group.BODY},
    )
    more = Yard(yard.target, yard.offers, (part, *yard.stock), know)
    assert asked(more) == asked(yard)


def _names(end: End, model: str) -> Condition:
    return Condition(end, "model", Op.ANY_OF, (model,))


@SOME
@given(YARDS, st.integers(0, 1000))
def test_the_order_of_the_rows_changes_nothing(yard: Yard, seed: int) -> None:
    random = Random(seed)

    def turned(rows: Sequence[Offer]) -> tuple[Offer, ...]:
        return tuple(random.sample(list(rows), len(rows)))

    know = yard.know
    models = random.sample(sorted(know.models.items()), len(know.models))
    moves: list[DateMove] = random.sample(list(know.moves), len(know.moves))
    shuffled = replace(
        know,
        rules=tuple(random.sample(list(know.rules), len(know.rules))),
        moves=tuple(moves),
        uses=tuple(random.sample(list(know.uses), len(know.uses))),
        models=dict(models),
        facts=dict(random.sample(sorted(know.facts.items()), len(know.facts))),
    )
    other = Yard(yard.target, turned(yard.offers), turned(yard.stock), shuffled)
    mine, theirs = shown(asked(yard)), shown(asked(other))
    assert [[(set(tags), grade) for tags, grade in part] for part in theirs] == [
        [(set(tags), grade) for tags, grade in part] for part in mine
    ]


@SOME
@given(YARDS)
def test_every_list_is_in_the_order_of_the_rules_and_holds_nothing_that_may_not_be_sold(yard: Yard) -> None:
    found = asked(yard)
    offers = {offer.tag: offer for offer in (*yard.offers, *yard.stock)}
    for lines in (found.answers, found.not_what_was_asked):
        ranks = [_rank(line, [offers[tag] for tag in line.tags]) for line in lines]
        assert ranks == sorted(ranks)
        for line in lines:
            assert line.grade is not Grade.WONT_FIT
            for offer in (offers[tag] for tag in line.tags):
                assert offer.condition not in (State.CORE, State.SCRAP)
                assert not offer.blocked
    assert all(line.grade is Grade.WONT_FIT for line in found.do_not_sell)


def _rank(line: AnswerLine, offers: Sequence[Offer]) -> tuple[object, ...]:
    """1.2 as far as it speaks of several tags sold as one; a single tag goes on to its date and number."""
    whole = (
        line.grade.rank,
        not all(offer.on_shelf for offer in offers),
        max(offer.condition.rank for offer in offers),
        max(offer.miles_ranked for offer in offers),
        line.price_cents,
    )
    return (*whole, min(offer.made_on for offer in offers), line.tags)


@SOME
@given(YARDS)
def test_a_companion_that_goes_is_replaced_or_leaves_the_set_short(yard: Yard) -> None:
    for line in asked(yard).answers:
        if line.grade is not Grade.SET:
            continue
        for gone in line.tags[1:]:
            stock = tuple(offer for offer in yard.stock if offer.tag != gone)
            left = by_main(asked(replace(yard, stock=stock)))[line.tags[0]]
            assert gone not in left.tags
            if left.grade is Grade.SET:
                assert set(left.tags) - set(line.tags), "another piece stands in its place"
            else:
                assert left.grade in (Grade.SET_SHORT, Grade.MEASURE)
                assert left.grade is Grade.SET_SHORT or len(left.rules) > 0
        bare = by_main(asked(replace(yard, stock=())))[line.tags[0]]
        assert len(line.tags) == 1 or bare.grade in (Grade.SET_SHORT, Grade.MEASURE)


@SOME
@given(YARDS)
def test_a_tag_of_one_side_never_answers_for_the_other(yard: Yard) -> None:
    sides = {offer.tag: offer.subject.side for offer in yard.offers}
    found = asked(yard)
    spoken = {rule.code for rule in yard.know.rules if any(each.fact == "side" for each in rule.conditions)}
    for line in (*found.answers, *found.not_what_was_asked):
        assert sides[line.tags[0]] in (Side.NONE, yard.target.side)
    for line in found.do_not_sell:
        if sides[line.tags[0]] not in (Side.NONE, yard.target.side):
            assert set(line.rules) <= spoken, "only a rule about sides names the other side"


@SOME
@given(YARDS)
def test_the_price_said_is_the_price_of_what_is_sold(yard: Yard) -> None:
    offers = {offer.tag: offer for offer in (*yard.offers, *yard.stock)}
    for line in asked(yard).answers:
        pieces = [offers[tag] for tag in line.tags]
        gone = sum(price for offer in pieces for _, price in offer.gone_pieces)
        assert line.price_cents == sum(offer.price_cents for offer in pieces) - gone
        said = line.price_cents // 100 if line.price_cents % 100 == 0 else line.price_cents / 100
        words = f"{said:,}" if isinstance(said, int) else f"{said:,.2f}"
        if line.grade is Grade.SET_SHORT and "sold whole" not in line.say:
            assert "No price until you accept in writing" in line.say
            assert line.say.count(words) <= line.say.count(f"{words} of ") + line.say.count(f"of {words}"), line.say
        elif line.grade is Grade.NOT_COMPARED and pieces[0].law == "high voltage":
            assert "never tried on, for it carries high voltage" in line.say
        else:
            assert words in PRICE.findall(line.say), line.say


LOTS = st.lists(st.tuples(st.integers(1, 6), st.booleans(), st.integers(0, 2), st.integers(1, 40)), max_size=7)


@settings(max_examples=300, deadline=None, derandomize=True)
@given(LOTS, st.integers(1, 12))
def test_lots_to_a_count_are_those_that_trying_every_group_finds(
    drawn: list[tuple[int, bool, int, int]], wanted: int
) -> None:
    """Best exact group first, then the best of what is left; with none exact the one of least left over."""
    lots = [(number, *lot) for number, lot in enumerate(drawn)]
    worst_of: tuple[Callable[[tuple[int, int, bool, int, int]], int], ...] = (lambda lot: lot[2], lambda lot: lot[3])
    groups, left = exact_groups(lots, lambda lot: lot[1], worst_of, lambda lot: (lot[4],), wanted)
    rest = list(lots)
    for group in groups:
        every = [each for n in range(1, len(rest) + 1) for each in itertools.combinations(rest, n)]
        exact = [each for each in every if _pieces(each) == wanted]
        over = [each for each in every if _pieces(each) > wanted] if not exact else []
        least = min(map(_pieces, over), default=wanted)
        assert _pieces(group) == least
        assert _worth(group) == min(_worth(each) for each in exact or over if _pieces(each) == least)
        rest = [lot for lot in rest if lot not in group]
    assert sorted(left) == sorted(rest)
    sums = {_pieces(each) for n in range(1, len(rest) + 1) for each in itertools.combinations(rest, n)}
    assert wanted not in sums
    assert groups or max(sums, default=0) < wanted


def _pieces(group: Sequence[tuple[int, int, bool, int, int]]) -> int:
    return sum(lot[1] for lot in group)


def _worth(group: Sequence[tuple[int, int, bool, int, int]]) -> tuple[bool, int, int]:
    return max(lot[2] for lot in group), max(lot[3] for lot in group), sum(lot[4] for lot in group)
