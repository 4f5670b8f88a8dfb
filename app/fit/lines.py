"""One judged part as a line of the answer: its set made up, its price, and its words."""

from __future__ import annotations

from collections.abc import Sequence

from app.fit.amounts import money
from app.fit.answers import AnswerLine, Asked, WorkLine
from app.fit.candidates import Standing, standing, worst_of
from app.fit.decide import Decision
from app.fit.knowledge import Knowledge
from app.fit.known import Offer, Target
from app.fit.links.link import Link
from app.fit.making import record
from app.fit.merging import Merged, Words, merge_grades, same_words
from app.fit.outcomes import Outcome
from app.fit.rules import Companion
from app.fit.saying.figures import Figures
from app.fit.saying.moved import moved_words, moves_telling
from app.fit.saying.opens import Open, open_of
from app.fit.saying.reasons import (
    chain_words,
    companion_words,
    consequences,
    evidence_of,
    operations,
    operations_of,
    reasons,
    rules_of,
    stands_on,
)
from app.fit.saying.say import Saying, say
from app.fit.saying.unusual import unusual
from app.fit.saying.whens import whens
from app.fit.sets import ALONE, Company, Stock, companions_of, gather, is_itself, price_of
from app.fit.terms import Grade, Group

Rank = tuple[int, Standing]


@record(frozen=True, slots=True)
class Judged:
    """A decision with its set and price: all that ranking needs, before any words are made.

    `short` are the outcomes, by their words, that ask for a set of which a piece is missing; `several` are the lots
    that only together are so many pieces as their rules need.
    """

    decision: Decision
    grade: Grade
    needed: tuple[Companion, ...]
    company: Company
    parts: tuple[Offer, ...]
    price_cents: int
    short: frozenset[Words] = frozenset()
    several: tuple[Judged, ...] = ()


def judged(decision: Decision, stock: Stock) -> Judged:
    """Make up the set a part needs; a missing companion makes a set short."""
    offer, outcome = decision.offer, decision.main
    if not decision.merged.in_company:
        return Judged(decision, decision.grade, (), ALONE, (offer,), price_of((offer,)))
    needed = companions_of(outcome)
    company = gather(offer, outcome, stock) if needed else ALONE
    # A needed companion that is missing makes it short in every world whose rules ask for it.
    grades = [_with_company(offer, each, stock) for each in decision.outcomes]
    grade = merge_grades(set(grades))
    parts = _in_order(offer, company, needed) if grade is Grade.SET else (offer,)
    after = zip(decision.outcomes, grades, strict=True)
    short = frozenset(same_words(each) for each, then in after if then is not each.grade)
    return Judged(decision, grade, needed, company, parts, price_of(parts), short)


def _with_company(offer: Offer, outcome: Outcome, stock: Stock) -> Grade:
    """The grade of an outcome once its companions were looked for."""
    if outcome.grade.rank >= Grade.SET_SHORT.rank or not companions_of(outcome):
        return outcome.grade
    return Grade.SET_SHORT if gather(offer, outcome, stock).missing else outcome.grade


def rank(row: Judged) -> Rank:
    """The order of the list: grade, shelf, condition, miles, price, older tag, tag."""
    return row.grade.rank, standing(row.parts)


@record(frozen=True, slots=True)
class _Explained:
    """All that is said alike of parts that come to the same."""

    reasons: tuple[str, ...]
    rules: tuple[str, ...]
    evidence: tuple[str, ...]
    operations: tuple[WorkLine, ...]
    open: Open
    stands_on: tuple[str, ...]
    chain: tuple[str, ...]
    by_way: str


class Writer:
    """Puts judged parts into words; what is said of several alike is made once."""

    def __init__(self, target: Target, know: Knowledge, asked: Asked | None = None) -> None:
        self._target = target
        self._know = know
        self._figures = Figures(target, know.facts)
        self._unsaid = "" if target.identities else _unsaid(asked)
        self._vehicles: dict[Group | None, tuple[tuple[str, ...], int | None]] = {}
        self._explained: dict[tuple[int, Grade, frozenset[Words]], tuple[_Explained, Merged]] = {}

    def line(self, row: Judged, misses: Sequence[str] = ()) -> AnswerLine:
        """The line in words; `misses` are the stated requirements it does not meet."""
        decision, parts = row.decision, row.parts
        told = consequences(decision, self._figures)
        models, year = self._vehicle(decision.offer)
        known = self._explain(decision, row)
        names = tuple([each.name for each in parts])
        saying = Saying(
            decision,
            decision.main,
            _price(row),
            row.company,
            told,
            known.operations,
            names,
            known.open,
            self._target.facts,
            self._unsaid,
            known.by_way,
        )
        return AnswerLine(
            tags=tuple([each.tag for each in parts]),
            names=names,
            grade=row.grade,
            price_cents=row.price_cents,
            core_cents=sum([each.core_cents for each in parts]),
            condition=worst_of(parts),
            where=tuple([each.where for each in parts]),
            donors=tuple(dict.fromkeys([each.donor for each in parts])),
            seen_days=decision.offer.seen_days,
            say=say(row.grade, saying),
            reasons=self._reasons(decision, known, misses),
            rules=known.rules,
            evidence=known.evidence,
            operations=known.operations,
            companions=companion_words(row.company, row.needed),
            consequences=told,
            unknowns=known.open.unknowns,
            cautions=_cautions(parts, decision.main),
            facts=_facts(decision.offer),
            missing=_missing(row),
            stands_on=known.stands_on,
            chain=known.chain,
            models=models,
            year=year,
            right_if=tuple([f"{each.grade.said} if {each.when}" for each in known.open.told]),
        )

    def _reasons(self, decision: Decision, known: _Explained, misses: Sequence[str]) -> tuple[str, ...]:
        odd = unusual(decision.offer, decision.main, self._know.facts)
        return (*[f"not what was asked: {why}" for why in misses], *known.reasons, *odd)

    def _vehicle(self, offer: Offer) -> tuple[tuple[str, ...], int | None]:
        """The models the target may be for this kind of part, and the year where it is one."""
        group = self._know.groups.get(offer.part_type)
        if group not in self._vehicles:
            identities = self._target.identities.get(group, ()) if group else ()
            years = {each.year for each in identities}
            models = tuple(dict.fromkeys(each.model.key for each in identities))
            self._vehicles[group] = (models, years.pop() if len(years) == 1 else None)
        return self._vehicles[group]

    def _explain(self, decision: Decision, row: Judged) -> _Explained:
        key = (id(decision.merged), row.grade, row.short)
        if key not in self._explained:
            outcome, codes = decision.main, rules_of(decision)
            moving = moves_telling(decision, codes, self._know.moves) if self._know.moves else ()
            explained = _Explained(
                (*reasons(decision, whens(decision, self._know)), *map(moved_words, moving)),
                (*codes, *(move.rule.code for move in moving)),
                evidence_of(decision),
                # Work is not told for what is not sold.
                operations(outcome) if row.grade is not Grade.WONT_FIT else (),
                open_of(decision, row.grade, row.short, self._target, self._know),
                stands_on(outcome),
                tuple(map(_link_words, outcome.chain)),
                chain_words(outcome.chain, self._know.models) if outcome.chain else "",
            )
            # What it was made of is kept along, so that nothing else takes its place in memory.
            self._explained[key] = (explained, decision.merged)
        return self._explained[key][0]


def _missing(row: Judged) -> tuple[str, ...]:
    """The companions that are not in stock, and the pieces gone from what is sold as a lump."""
    missing = [f"{each.part_type} {each.side}".strip() for each in row.company.missing]
    missing += [name for each in row.parts for name, _ in each.gone_pieces]
    return tuple(dict.fromkeys(missing)) if missing else ()


def _unsaid(asked: Asked | None) -> str:
    """What is amiss with the vehicle as it was said, where it is none that the book has."""
    if asked is None:
        return "the vehicle is not known"
    strange = next((chip.value for chip in asked.chips if chip.field == "unknown vehicle"), "")
    if strange:
        return strange
    return "make and model are not said" if asked.said_years else "year, make and model are not said"


def _link_words(link: Link) -> str:
    turned = link.back and (link.conditions, link.offered) != (link.rule.conditions, link.rule.offered_types)
    return f"{link.rule.code} back" if turned else link.rule.code


def _in_order(offer: Offer, company: Company, needed: Sequence[Companion]) -> tuple[Offer, ...]:
    """The pieces of a set: the part first, or, where it is one of its own set's pieces, in the set's order."""
    if not any(is_itself(companion, offer) for companion in needed):
        return (offer, *company.found)
    pieces = (offer, *company.found)
    return tuple(sorted(pieces, key=lambda each: _slot(each, needed)))


def _slot(piece: Offer, needed: Sequence[Companion]) -> int:
    return next((number for number, companion in enumerate(needed) if is_itself(companion, piece)), len(needed))


def _price(row: Judged) -> str:
    """The price as it is said; of a lot of several pieces, which is sold whole, with how many it is for."""
    pieces = row.parts[0].pieces if len(row.parts) == 1 else 1
    return f"{money(row.price_cents)} for {pieces} pieces" if pieces > 1 else money(row.price_cents)


def _facts(offer: Offer) -> tuple[tuple[str, str], ...]:
    """What was seen of a part, and of a lot how many pieces it is."""
    return (("pieces", str(offer.pieces)), *offer.facts) if offer.pieces > 1 else offer.facts


def _cautions(parts: Sequence[Offer], outcome: Outcome) -> tuple[str, ...]:
    said = [hazard.caution for each in parts for hazard in each.hazards]
    if any("weld" in f"{each.kind} {each.work}".lower() for each in operations_of(outcome)):
        said.append("Welding on a frame or near fuel is for certified people, under local rules.")
    return tuple(dict.fromkeys(said))
