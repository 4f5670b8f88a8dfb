"""Putting parts away: two scans are a move, and a place's kind and limits are kept."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from app.book.bench.blocking import free_again
from app.book.numbers import new_tag
from app.book.parts import find_part
from app.book.people import person_id
from app.book.schema import (
    History,
    Law,
    Outcome,
    Part,
    PartType,
    Person,
    Place,
    PlaceKind,
    Standing,
    Whereabouts,
)
from app.book.tags import TagKind, clean
from app.book.work import Book, Who, Work
from app.errors import BadInput, NotFound, Refused

# These take only what belongs in them; every other kind takes anything its limits allow.
OWN_KIND_ONLY = frozenset(
    {
        PlaceKind.DOOR_SLOT,
        PlaceKind.GLASS_RACK,
        PlaceKind.ENGINE_STAND,
        PlaceKind.HOOD_RACK,
        PlaceKind.AXLE_ROW,
        PlaceKind.FRAME_RACK,
        PlaceKind.AIRBAG_LOCKER,
        PlaceKind.HV_CAGE,
    }
)
TAKES_ALL = frozenset({PlaceKind.WILL_CALL, PlaceKind.SCRAP_BIN})
NOT_FOR_PARTS = frozenset({PlaceKind.YARD_ROW, PlaceKind.AREA})
LAW_KINDS = {
    Law.AIRBAG: (PlaceKind.AIRBAG_LOCKER, PlaceKind.QUARANTINE),
    Law.HIGH_VOLTAGE: (PlaceKind.HV_CAGE, PlaceKind.QUARANTINE),
}


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A place with what stands in it."""

    code: str
    tag: str
    kind: PlaceKind
    weight_limit_lb: Decimal | None
    piece_limit: int | None
    tags: tuple[str, ...]

    @property
    def limits(self) -> str:
        """The limits in words."""
        said = []
        if self.weight_limit_lb is not None:
            said.append(f"{self.weight_limit_lb} lb a piece")
        if self.piece_limit is not None:
            said.append(f"{self.piece_limit} piece{'s' if self.piece_limit != 1 else ''}")
        return ", ".join(said)


@dataclass(frozen=True, slots=True)
class PutAway:
    """Where a part went, and from where; `offered` is the place the book would have taken."""

    tag: str
    place: str
    came_from: str
    offered: str
    words: str


def find_place(session: Session, said: str) -> Place:
    """The place of a code or a place tag.

    Raises:
        NotFound: there is no such place.
    """
    name = clean(said)
    place = (
        session.scalar(select(Place).where(or_(func.upper(Place.code) == name, Place.tag == name))) if name else None
    )
    if place is None:
        raise NotFound(f"no place is called {said!r}", "Scan the sign on the place.", place="place")
    return place


def add_place(
    book: Book,
    who: Who,
    code: str,
    kind: PlaceKind,
    *,
    inside: str = "",
    weight_limit_lb: Decimal | None = None,
    piece_limit: int | None = None,
) -> PlaceRow:
    """Make a place with its own tag.

    Raises:
        BadInput: the code is empty, taken, or reads like a tag.
    """
    code = code.strip().upper()
    if not code or len(code) > 10:
        raise BadInput(f"{code!r} is no code for a place", "Take one to ten characters, such as A1-2.", place="code")
    with book.write(who) as work:
        if work.session.scalar(select(Place.id).where(func.upper(Place.code) == code)):
            raise BadInput(f"there is a place {code} already", "Take another code.", place="code")
        row = Place(
            code=code,
            tag=new_tag(work, TagKind.PLACE),
            kind=kind,
            inside_id=find_place(work.session, inside).id if inside else None,
            weight_limit_lb=weight_limit_lb,
            piece_limit=piece_limit,
        )
        work.session.add(row)
        work.session.flush()
        work.note("add place", code, f"{kind} {code}")
        return place_row(work.session, row)


def places(book: Book) -> tuple[PlaceRow, ...]:
    """All places by code."""
    with book.read() as session:
        return tuple(place_row(session, row) for row in session.scalars(select(Place).order_by(Place.code)))


def place_named(book: Book, said: str) -> PlaceRow:
    """One place with what stands in it."""
    with book.read() as session:
        return place_row(session, find_place(session, said))


def place_row(session: Session, place: Place) -> PlaceRow:
    """A place as a frozen row."""
    tags = tuple(session.scalars(select(Part.tag).where(Part.place_id == place.id).order_by(Part.tag)))
    return PlaceRow(place.code, place.tag, place.kind, place.weight_limit_lb, place.piece_limit, tags)


def put_away(book: Book, who: Who, tag: str, place: str) -> PutAway:
    """Put a part into a place, from the hand or from another place.

    Raises:
        NotFound: the tag or the place is not ours.
        Refused: the place is of the wrong kind, full, or not built for the weight.
    """
    with book.write(who) as work:
        part = find_part(work.session, tag)
        # The place is locked, so that two pullers cannot both take its last room.
        target = work.session.scalar(
            select(Place).where(Place.id == find_place(work.session, place).id).with_for_update()
        )
        assert target is not None
        _refuse_gone(part)
        kind = work.session.get_one(PartType, part.part_type_id)
        reasons = why_not(work.session, part, kind, target)
        if reasons:
            raise Refused(
                f"{part.tag} does not go in {target.code}: {' and '.join(reasons)}",
                f"{_try(offer(work.session, part, kind))}",
                action="put away",
                subject=part.tag,
                place="place",
                details={"place": target.code, "reasons": list(reasons)},
            )
        return _move(work, part, kind, target)


def _try(offered: Place | None) -> str:
    return f"Try {offered.code}." if offered else "Scan another place."


def _refuse_gone(part: Part) -> None:
    if part.whereabouts is Whereabouts.GONE:
        raise Refused(f"{part.tag} has left the yard", "Take it back first.", action="put away", subject=part.tag)


def _move(work: Work, part: Part, kind: PartType, target: Place) -> PutAway:
    before = offer(work.session, part, kind)
    came_from = _where_from(work.session, part)
    part.whereabouts, part.place_id, part.holder_id = Whereabouts.IN_PLACE, target.id, None
    part.seen_at = work.now
    if part.standing is Standing.MISSING:
        free_again(work, part)
    words = f"{part.tag} is in {target.code}"
    work.note("put away", part.tag, words, place=target.code, came_from=came_from)
    return PutAway(part.tag, target.code, came_from, before.code if before else "", words)


def _where_from(session: Session, part: Part) -> str:
    if part.place_id is not None:
        return session.get_one(Place, part.place_id).code
    return str(part.whereabouts)


def why_not(session: Session, part: Part, kind: PartType, place: Place) -> tuple[str, ...]:
    """Why a part may not stand in a place; empty when it may."""
    reasons = [*_kind_reasons(kind, place)]
    if place.weight_limit_lb is not None and part.weight_lb is not None and part.weight_lb > place.weight_limit_lb:
        reasons.append(f"{part.weight_lb} lb is over its {place.weight_limit_lb} lb a piece")
    if place.piece_limit is not None:
        standing = session.scalar(
            select(func.count()).select_from(Part).where(Part.place_id == place.id, Part.id != part.id)
        )
        if (standing or 0) >= place.piece_limit:
            reasons.append(f"it is full ({standing} of {place.piece_limit})")
    return tuple(reasons)


def _a(name: str) -> str:
    """A name with its article, as it is spoken."""
    return f"{'an' if name[:1].lower() in 'aeiou' else 'a'} {name}"


def _kind_reasons(kind: PartType, place: Place) -> tuple[str, ...]:
    if place.kind in NOT_FOR_PARTS:
        return (f"{_a(place.kind)} is not for parts",)
    allowed = [PlaceKind(each) for each in kind.place_kinds]
    by_law = LAW_KINDS.get(kind.law)
    if by_law is not None:
        return () if place.kind in by_law else (f"{_a(kind.name)} goes only in the {by_law[0]}",)
    if place.kind in TAKES_ALL or place.kind is PlaceKind.QUARANTINE:
        return ()
    if allowed and place.kind not in allowed:
        return (f"{_a(kind.name)} goes in the {' or '.join(allowed)}",)
    if not allowed and place.kind in OWN_KIND_ONLY:
        return (f"{_a(place.kind)} is not for {_a(kind.name)}",)
    return ()


def offer(session: Session, part: Part, kind: PartType) -> Place | None:
    """The place to offer for a part: the right kind, near its brothers, with room."""
    brothers = select(Part.place_id).where(Part.part_type_id == part.part_type_id, Part.place_id.is_not(None))
    near = Place.id.in_(brothers)
    candidates = session.scalars(
        select(Place)
        .where(Place.kind.not_in([*NOT_FOR_PARTS, *TAKES_ALL, PlaceKind.QUARANTINE]), Place.id != (part.place_id or -1))
        .order_by(near.desc(), Place.code)
        .limit(500)
    )
    return next((place for place in candidates if not why_not(session, part, kind, place)), None)


def offer_place(book: Book, tag: str) -> str:
    """The code of the place to offer for a part; empty when none has room."""
    with book.read() as session:
        part = find_part(session, tag)
        found = offer(session, part, session.get_one(PartType, part.part_type_id))
        return found.code if found else ""


def take_up(book: Book, who: Who, tag: str) -> str:
    """Take a part out of its place into the hand."""
    with book.write(who) as work:
        part = find_part(work.session, tag)
        _refuse_gone(part)
        came_from = _where_from(work.session, part)
        _into_hand(work, part)
        part.seen_at = work.now
        words = f"{part.tag} is in {work.who.code}'s hands"
        work.note("take up", part.tag, words, came_from=came_from)
        return words


def take_back_move(book: Book, who: Who) -> str:
    """Undo this seat's last put-away: the part goes back where it came from.

    Raises:
        NotFound: this seat moved nothing yet, or took it back already.
        Refused: the part has moved on since, or its old place is full.
    """
    with book.write(who) as work:
        last = work.session.scalar(
            select(History)
            .where(
                History.seat == who.seat,
                History.by == who.code,
                History.outcome == Outcome.DONE,
                History.action.in_(["put away", "take back"]),
            )
            .order_by(History.id.desc())
            .limit(1)
        )
        if last is None or last.action == "take back":
            raise NotFound("nothing to take back", "Only the last move of this seat can be taken back.")
        part = find_part(work.session, last.subject)
        came_from = str(last.details["came_from"])
        return _move_back(work, part, str(last.details["place"]), came_from)


def _into_hand(work: Work, part: Part) -> None:
    holder = person_id(work.session, work.who.code)
    part.whereabouts, part.place_id, part.holder_id = Whereabouts.IN_HAND, None, holder


def _move_back(work: Work, part: Part, went_to: str, came_from: str) -> str:
    here = work.session.get(Place, part.place_id) if part.place_id else None
    if here is None or here.code != went_to:
        raise Refused(f"{part.tag} has moved on since", "Scan it again.", action="take back", subject=part.tag)
    place = work.session.scalar(select(Place).where(Place.code == came_from))
    if place is not None:
        part.place_id = place.id
    elif came_from == Whereabouts.ON_VEHICLE:
        part.whereabouts, part.place_id = Whereabouts.ON_VEHICLE, None
    else:
        _into_hand(work, part)
    words = f"{part.tag} is back: {came_from}"
    work.note("take back", part.tag, words, place=came_from, came_from=went_to)
    return words


def in_hand(book: Book, who: Who) -> tuple[str, ...]:
    """Tags printed and not yet put away, in this person's hands."""
    with book.read() as session:
        return tuple(
            session.scalars(
                select(Part.tag)
                .join(Person, Person.id == Part.holder_id)
                .where(Person.code == who.code)
                .order_by(Part.made_at, Part.id)
            )
        )
