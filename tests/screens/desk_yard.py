"""A small invented yard for the desk screens: two Longwagons of one name on two frames, and a car."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal

from app.book.intake import TakeIn, TakenIn, take_in
from app.book.people import sign_on
from app.book.scale import Weighing, weigh_in
from app.book.schema import Base, FrameDesign, FramePoint, Model, Paper, Role
from app.book.work import Book, Who
from app.fit.terms import FrontSuspension, RearSuspension, Section, Side
from app.fit.vin import Reading, Source
from tests.support.yard import OWNER, keep

INTAKE = Who("IN1", Role.INTAKE, "intake")
MONDAY = datetime(2026, 3, 2, 13, 10, tzinfo=UTC)
"""08:10 on the yard's wall."""

V1 = "0DMLW54SX8A204517"
V1_AS_TYPED = "0DMLW545X8A204517"
V2 = "0DMHW64T79A118832"
V2_DASH = "0DM8W64T79A118832"
V3 = "0KGTC22B28K047163"
REFUSED = "0KGHS64D56A551207"


def furnish(book: Book) -> Book:
    """Write the models, their frames and the people of the yard into a book."""
    sign_on(book, OWNER, "OW", "owner", Role.OWNER)
    sign_on(book, OWNER, "IN1", "intake desk", Role.INTAKE)
    sign_on(book, OWNER, "SC1", "scale house", Role.SCALE)
    light, heavy = keep(book, *_frames())
    keep(book, *_models(light, heavy), *_points(light))
    return book


def _frames() -> list[Base]:
    return [
        FrameDesign(
            code="LW-LIGHT",
            name="Longwagon light frame",
            section=Section.BOXED,
            front=FrontSuspension.COIL_OVER,
            rear=RearSuspension.FIVE_LINK_COIL,
            rail_height_mm=180.34,
            rail_width_mm=69.85,
            wall_mm=3.5,
            spread_mm=1010.0,
            wheelbase_mm=2946.4,
            datum="cowl mount",
        ),
        FrameDesign(
            code="LW-HEAVY",
            name="Longwagon heavy frame",
            section=Section.OPEN,
            front=FrontSuspension.TORSION_BAR,
            rear=RearSuspension.LEAF,
            datum="cowl mount",
        ),
    ]


def _models(light: int, heavy: int) -> list[Base]:
    wagon = {"make": "Dunmarsh", "name": "Longwagon", "family": "dunmarsh", "body_style": "wagon"}
    years = {"year_from": 2007, "year_to": 2013}
    tansy = {"make": "Kellgate", "name": "Tansy", "family": "tansy", "body_style": "sedan"}
    harrow = {"make": "Kellgate", "name": "Harrow", "family": "harrow", "body_style": "wagon"}
    return [
        Model(key="lw-light", weight_class="light", frame_design_id=light, **wagon, **years),
        Model(key="lw-heavy", weight_class="heavy", frame_design_id=heavy, **wagon, **years),
        Model(key="tansy", year_from=2005, year_to=2011, **tansy),
        Model(key="harrow", year_from=2003, year_to=2009, **harrow),
    ]


def _points(light: int) -> list[Base]:
    stations = [("M1", 0.0, 482.6), ("M2", 812.8, 482.6), ("M3", 1600.2, 508.0)]
    return [
        FramePoint(frame_design_id=light, mount=name, side=Side.NONE, x_mm=x, y_mm=y, z_mm=101.6, u_mm=1.6)
        for name, x, y in stations
    ]


def take_in_v1(book: Book) -> TakenIn:
    """Day 1's first vehicle, bought at auction and read in two places."""
    return take_in(
        book,
        INTAKE,
        TakeIn(
            readings=(Reading(Source.DASH, V1), Reading(Source.DOOR_LABEL, V1)),
            model="longwagon light",
            built="2007-11",
            paper=Paper.SALVAGE,
            source="auction",
            price_cents=115_000,
            fee_cents=28_500,
            tow_cents=12_000,
        ),
    )


def weigh_in_v1(book: Book, stock_number: str) -> None:
    """Day 1's first weighing: 25,480 less 19,860."""
    weigh_in(book, INTAKE, Weighing(Decimal(25480), Decimal(19860), vehicle=stock_number))
