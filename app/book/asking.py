"""Asking the yard: what the customer said, what stands on the shelf, and the answer that is kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.book.asked_back import MOST_ASKED, and_vehicle, what_part
from app.book.bearing import bearing
from app.book.betweens import read_between
from app.book.contradicted import which_look
from app.book.heard import Beside, heard
from app.book.keeping import free_run_out
from app.book.knowing import Knowing, kept_knowing, knowing
from app.book.offers import Gathered, Search
from app.book.schema import Ask, Model, PartType
from app.book.serving import serving
from app.book.shelf import Bearing
from app.book.times import local_day
from app.book.versions import Outdated, versions
from app.book.whose import identities
from app.book.words.linereading import OR, Understood
from app.book.work import Book, Who
from app.errors import BadInput
from app.fit.answers import Answer, Asked, Question
from app.fit.engine import answer_from
from app.fit.knowledge import Knowledge
from app.fit.known import FactInfo, Known, Target
from app.fit.lengths import Measured, Tool, measured
from app.fit.rules import Rule
from app.fit.terms import FactKind
from app.fit.values import millimeters
from app.fit.worlds import CUSTOMER

DATED = ("plant", "built")
"""What is told of a vehicle's plate: it belongs to an identity."""


def ask(
    book: Book,
    who: Who,
    words: str,
    *,
    vehicle: str = "",
    part: str = "",
    side: str = "",
    facts: Mapping[str, str] | None = None,
    wants: Sequence[str] = (),
    on: date | None = None,
    keep: bool = True,
) -> Answer:
    """Answer a customer's line of words.

    `vehicle`, `part`, `side`, `facts` and `wants` are stated beside the words and beat them; `on` is the
    day (today by default). With `keep` the ask is written into the book. What a hold or a draft kept whose time is
    over is freed, and offered.

    Raises:
        BadInput: a vehicle of which nothing is understood, a side that is neither LH nor RH, or a fact the
            yard does not know.
    """
    day = on or local_day(book.clock())
    beside = Beside(vehicle, part, side, facts or {}, wants)

    def answer(session: Session, known: Knowing, *, sure: bool) -> Answer:
        understood = heard(session, known, words, beside)
        return _answer(session, known, understood, day, sure=sure)

    def answered() -> Answer:
        with book.read() as session:
            return _by_what_is_kept(session, answer) or answer(session, knowing(session), sure=True)

    found = answered()
    now = book.clock()
    over = [each.tag for each in found.kept if each.until is not None and each.until <= now]
    if over:
        free_run_out(book, who, over)
        found = answered()
    if keep:
        _keep(book, who, found)
    return found


def _by_what_is_kept(session: Session, answer: Callable[..., Answer]) -> Answer | None:
    """Answer by what was known last, which is looked at along the way; None where it is out of date, or may be."""
    kept = kept_knowing(session)
    try:
        return answer(session, kept, sure=False) if kept is not None else None
    except (Outdated, BadInput, LookupError):
        return None


def answer_again(
    session: Session, known: Knowing, words: str, stated: Asked, facts: Mapping[str, str], day: date
) -> Answer:
    """Answer words once more with the parts, the vehicles and the side that were settled then.

    Raises:
        BadInput: a fact the yard does not know any more.
    """
    understood = heard(session, known, words, Beside(side=str(stated.side), facts=facts))
    asked = understood.asked
    asked = replace(
        asked,
        part_types=stated.part_types or asked.part_types,
        models=stated.models or asked.models,
        year=stated.year or asked.year,
    )
    return _answer(session, known, replace(understood, asked=asked), day)


def _answer(session: Session, known: Knowing, understood: Understood, day: date, *, sure: bool = True) -> Answer:
    """The answer; `sure` as for `bearing`, which raises where what is known is out of date."""
    asked = understood.asked
    connection = session.connection()
    if not asked.part_types:
        if not sure and versions(connection)[0] != known.version:
            raise Outdated
        return Answer(asked, questions=what_part(asked))
    wanted = frozenset(asked.part_types)
    keys = named_models(asked)
    bears = bearing(connection, known, wanted, [key for key in keys if key in known.models] or None, sure=sure)
    known.shelf_of_models.bring(connection, keys)
    target = _target(known, understood, wanted)
    # A chain kept inside a family takes a statement more, as does another's frame; so there is one less for parts.
    at_once = bool(bears.kin or asked.carries)
    # A chain may take one, and so may looks at the vehicle: then the best parts are looked for first of all.
    best = bool(bears.graph.after and asked.facts)
    search = Search(bears.types, bears.needed, serving(known, bears, target), bears.designs, at_once, best)
    gathered = Gathered(connection, known, search, day)
    know = knowledge(session, known, bears, day, before_chains=gathered.all_at_once)
    found = answer_from(asked, target, gathered, know)
    return replace(found, questions=_worth_asking(asked, known, found), kept=gathered.kept)


def _worth_asking(asked: Asked, known: Knowing, found: Answer) -> tuple[Question, ...]:
    """What is asked back: what the engine asks, which vehicle it is, and the look that tells whose frame it has."""
    group = known.groups[asked.part_types[0]]
    look = which_look(asked, known, group) if any(line.unknowns for line in found.answers) else ()
    told = and_vehicle(asked, known, found)
    # Who takes a pair is not asked which side; the sticker on the door says nothing of another's frame.
    of_another = group in asked.carries and not set(asked.carries[group]) & set(asked.models)
    moot = {"side"} if asked.quantity and asked.quantity > 1 else set[str]()
    told = tuple(each for each in told if each.fact not in moot | ({"built"} if of_another else set()))
    return ((*told, *look) if of_another else (*look, *told))[:MOST_ASKED]


def named_models(asked: Asked) -> tuple[str, ...]:
    """All models that the vehicle may be, in any of its groups."""
    return (*asked.models, *(key for keys in asked.carries.values() for key in keys))


def knowledge(
    session: Session, known: Knowing, bears: Bearing, day: date, *, before_chains: Callable[[], None] | None = None
) -> Knowledge:
    """What the engine needs to know of all that the yard knows; what is said of chains is read when one may be."""

    def beside() -> Sequence[Rule]:
        if before_chains is not None:
            before_chains()
        return read_between(session.connection(), known, bears)

    return Knowledge(
        known.facts,
        bears.rules,
        bears.moves,
        known.groups,
        bears.uses,
        known.models,
        day,
        look_for=known.look_for,
        frames=known.frames(session),
        graph=bears.graph,
        beside=beside,
    )


def _target(known: Knowing, understood: Understood, wanted: frozenset[str]) -> Target:
    asked = understood.asked
    facts = {
        name: customer_fact(known.facts.get(name), value) for name, value in asked.facts.items() if name not in DATED
    }
    return Target(
        wanted=wanted,
        identities=identities(asked, known),
        facts=facts,
        side=asked.side,
        wants=understood.wants,
        quantity=asked.quantity,
    )


def reading_of(session: Session, known: Knowing, vehicle: str, facts: Mapping[str, str]) -> Asked:
    """A vehicle in words with the facts stated beside it."""
    return heard(session, known, "", Beside(vehicle=vehicle, facts=facts)).asked


def heard_beside(session: Session, known: Knowing, words: str) -> Asked:
    """Words that stand beside a tag; they need not name a vehicle."""
    return heard(session, known, words, Beside()).asked


def customer_fact(info: FactInfo | None, value: str) -> Known:
    """A customer's word for a fact: one value, several left open, or a tape's reading of a closed list.

    A reading names the one design of a closed list that lies inside the tape's doubt (1/16 in each way,
    common practice, no source).
    """
    if OR in value and (info is None or value not in info.choices):
        return Known(value, known_by=CUSTOMER, among=tuple(value.split(OR)))
    if info is None or info.kind is not FactKind.LENGTH:
        return Known(value, known_by=CUSTOMER)
    taken = measured(value, Tool.HOOK_TAPE)
    inside = [choice for choice in info.choices if _inside(choice, taken)]
    if len(inside) == 1:
        return Known(inside[0], known_by=CUSTOMER)
    return Known(value, taken.u_mm, known_by=CUSTOMER)


def _inside(choice: str, taken: Measured) -> bool:
    listed = millimeters(choice)
    return listed is not None and abs(float(listed) - taken.length.mm) <= taken.u_mm


def _keep(book: Book, who: Who, found: Answer) -> None:
    asked = found.asked
    best = str(found.answers[0].grade) if found.answers else ""
    with book.write(who) as work:
        types = work.session.scalars(select(PartType.id).where(PartType.name.in_(asked.part_types))).all()
        models = work.session.scalars(select(Model.id).where(Model.key.in_(asked.models))).all()
        number = work.number("asks")
        work.session.add(
            Ask(
                number=number,
                at=work.now,
                seat=who.seat,
                by=who.code,
                words=asked.words,
                part_type_id=types[0] if len(types) == 1 else None,
                model_id=models[0] if len(models) == 1 else None,
                understood=dict(found.as_record()["asked"]),  # type: ignore[call-overload]
                found=len(found.answers),
                best_grade=best,
                tags=[tag for line in found.answers[:9] for tag in line.tags],
            )
        )
        work.note(
            "ask", f"ask {number}", f"{asked.words}: {len(found.answers)} found{f', best {best}' if best else ''}"
        )
