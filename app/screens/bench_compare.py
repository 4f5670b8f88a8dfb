"""The bench's pictures: two frames compared, one looked over for damage, and two held up for a joint."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal, InvalidOperation
from pathlib import Path

from textual.containers import VerticalScroll
from textual.message import Message
from textual.widget import Widget

from app.book.bench import saying
from app.book.bench.holding import Compared, Damaged, JoinPrices, compare_frames, damage_of, join_frames
from app.book.money import parse_money
from app.book.work import Book, Who
from app.errors import BadInput, YardError
from app.fit.frames.comparison import MountCheck
from app.fit.frames.shape import FrameShape, Mount, both_sides
from app.fit.lengths import parse_length
from app.fit.terms import Side
from app.screens.bench_drawing import Bar, Scene, Spot
from app.screens.bench_drawn import DrawnView, Line, Picture
from app.screens.parts.form import Blank
from app.screens.parts.keys import Deed, keyed
from app.screens.parts.page import BACK, Page
from app.screens.parts.plain import Words, lines
from app.screens.parts.sheets import FormSheet


class CompareView(DrawnView):
    """Frame B over frame A."""

    NAME = "bench · compare"
    HELP_WORDS = (
        "B is laid over A where most mounts agree. Up and down step from mount to mount; Enter says one in full."
    )

    def __init__(self, book: Book, who: Who, a: str, b: str) -> None:
        super().__init__(book, who)
        self.names = (a, b)

    def picture(self) -> Picture:
        """Hold one against the other."""
        return comparison_picture(compare_frames(self.book, *self.names))

    def draw(self, target: Path) -> Path:
        """The comparison sheet."""
        from app.book.bench.papers import draw_comparison

        return draw_comparison(self.book, *self.names, target)


class DamageView(DrawnView):
    """A surveyed frame over its design."""

    NAME = "bench · damage"
    HELP_WORDS = "Rings are where the mounts should be, crosses where they were measured; moves are told in the rows."

    def __init__(self, book: Book, who: Who, survey: str, design: str | None = None) -> None:
        super().__init__(book, who)
        self.survey = survey
        self.design = design

    def picture(self) -> Picture:
        """Look it over."""
        return damage_picture(damage_of(self.book, self.survey, self.design))

    def draw(self, target: Path) -> Path:
        """The damage sheet."""
        from app.book.bench.papers import draw_damage

        return draw_damage(self.book, self.survey, self.design, target)


class JointRead(Message):
    """What a joint comes to, in lines."""

    def __init__(self, said: tuple[str, ...]) -> None:
        super().__init__()
        self.said = said


class JoinView(Page):
    """The front of A and the rear of B held up for a joint."""

    NAME = "bench · joint"
    HELP_WORDS = "Never offered as a fit: structural welding is for certified people under local rules."
    DEEDS = (
        Deed("p", "prices", "prices", "Hours, pieces, the price of a straight frame, and how far to shift."),
        BACK,
    )
    BINDINGS = keyed(DEEDS)
    DEFAULT_CSS = "JoinView VerticalScroll { height: 1fr; }"

    def __init__(self, book: Book, who: Who, a: str, b: str) -> None:
        super().__init__(book, who)
        self.names = (a, b)

    def body(self) -> Iterable[Widget]:
        """The lines; they scroll."""
        yield VerticalScroll(Words("holding one up to the other …", id="said"))

    def on_mount(self) -> None:
        """Work it out."""
        self.work_out(None, JoinPrices())

    def work_out(self, shift_mm: float | None, prices: JoinPrices) -> None:
        """Hold one up to the other."""

        def found() -> JointRead:
            joined = join_frames(self.book, *self.names, shift_mm=shift_mm, prices=prices)
            return JointRead(tuple(saying.joint(joined)))

        self.reads("joint", found)

    def action_prices(self) -> None:
        """Ask what decides whether it pays."""
        blanks = [
            Blank("shift", "shift rear by", hint="rearward, to lengthen the frame; empty: where most mounts agree"),
            Blank("hours", "hours", hint="empty: the yard's setting"),
            Blank("parts", "pieces", hint="dollars for what is welded in"),
            Blank("straight", "straight frame", hint="dollars for a straight one"),
        ]
        sheet = FormSheet("What decides over the joint?", blanks, draft="joint prices", check=read_prices)
        self.app.push_screen(sheet, lambda values: self.work_out(*read_prices(values)) if values else None)

    def on_joint_read(self, message: JointRead) -> None:
        """Show it."""
        head = f"front of {self.names[0]}, rear of {self.names[1]}"
        self.query_one("#said", Words).say(lines([head, "", *message.said]))
        self.query_one(VerticalScroll).focus()

    def failed(self, topic: str, error: YardError) -> None:
        """What cannot be held up is said, and the screen closes."""
        super().failed(topic, error)
        self.dismiss(None)


def read_prices(values: Mapping[str, str]) -> tuple[float | None, JoinPrices]:
    """The shift in millimeters and the prices as typed.

    Raises:
        BadInput: a length or an amount that cannot be read.
    """
    shift = values["shift"].strip()
    parts, straight = (
        parse_money(values[name], place=name) if values[name].strip() else None for name in ("parts", "straight")
    )
    hours = values["hours"].strip()
    try:
        prices = JoinPrices(Decimal(hours) if hours else None, None, parts, straight)
    except InvalidOperation:
        raise BadInput(f"{hours!r} is no number of hours", "Type it like 18 or 12.5.", place="hours") from None
    return parse_length(shift, signed=True).mm if shift else None, prices


def comparison_picture(compared: Compared) -> Picture:
    """A comparison as the screen shows it."""
    found = compared.found
    shift = found.alignment
    scene = Scene(
        first=tuple(_spot(each.a) for each in found.mounts),
        second=tuple(_spot(each.b) for each in found.mounts),
        first_bar=_bar(compared.a.shape),
        second_bar=_bar(compared.b.shape, shift.x_mm, shift.z_mm),
    )
    return Picture(
        title=f"{found.a} and {found.b}",
        first=f"A {found.a}",
        second=f"B {found.b}",
        headline=found.words,
        scene=scene,
        lines=tuple(map(_mount_line, found.mounts)),
        named=tuple({_short(each.name): each.a.x_mm for each in found.mounts}.items()),
        follows=tuple(saying.followings(compared)),
        more=(found.words, "", *saying.rails(compared), *saying.left_out(compared)),
    )


def damage_picture(damaged: Damaged) -> Picture:
    """A look for damage as the screen shows it."""
    found = damaged.found
    mounts = {(each.name, each.side): each for m in damaged.survey.shape.mounts for each in both_sides(m)}
    moves = [(each, mounts[each.name, each.side]) for each in found.points if (each.name, each.side) in mounts]
    rail_of = damaged.survey.shape if damaged.design is None else damaged.design.shape
    should = tuple(
        Spot(mount.x_mm - move.x_mm, _right(mount.side, mount.y_mm - move.y_mm), mount.z_mm - move.z_mm)
        for move, mount in moves
    )
    rows = [Line(str(each.condition), str(each.verdict), saying.condition(each)) for each in found.conditions]
    rows += [
        Line(f"{move.name} {move.side}".rstrip(), str(move.verdict), saying.moved(move), _spot(mount))
        for move, mount in moves
    ]
    return Picture(
        title=f"{found.frame}: {found.verdict}",
        first=found.design or "its other side",
        second=found.frame,
        headline=saying.in_short(found),
        scene=Scene(should, tuple(map(_spot, mounts.values())), first_bar=_bar(rail_of)),
        lines=tuple(rows),
        named=tuple({_short(mount.name): mount.x_mm for mount in mounts.values()}.items()),
        follows=tuple(saying.conditions(damaged)),
        more=tuple(saying.conditions(damaged)),
    )


def _mount_line(check: MountCheck) -> Line:
    return Line(
        check.a.label, str(check.verdict), saying.off(check) or f"{check.probability:.0%} likely", _spot(check.a)
    )


def _spot(mount: Mount) -> Spot:
    return Spot(mount.x_mm, mount.lateral_mm, mount.z_mm)


def _right(side: Side, outboard: float) -> float:
    return -outboard if side is Side.LH else outboard


def _bar(shape: FrameShape, x_mm: float = 0.0, z_mm: float = 0.0) -> Bar | None:
    """The rail as straight lines along the mounts, where its outer face and width are known."""
    known = [each for each in shape.rail if each.outer_mm is not None and each.width_mm is not None]
    if not known or not shape.mounts:
        return None
    rail, xs = known[0], [mount.x_mm for mount in shape.mounts]
    outer, width = rail.outer_mm or 0.0, rail.width_mm or 0.0
    edges = tuple(edge + z_mm for edge in (rail.top_mm, rail.bottom_mm) if edge is not None)
    return Bar(min(xs) + x_mm, max(xs) + x_mm, (outer, outer - width), edges)


def _short(name: str) -> str:
    first = name.split(" ")[0]
    return first if any(letter.isdigit() for letter in first) else name
