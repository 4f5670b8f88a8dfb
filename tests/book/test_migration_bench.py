"""A book from before the bench: its mounts stay, as first readings that carry the body."""

from __future__ import annotations

from alembic import command
from sqlalchemy import Connection, text

from app.book.schema import FrameDesign, FramePoint
from app.book.work import Book
from app.fit.terms import FrontSuspension, RearSuspension, Section
from migrations.run import config, upgrade
from tests.support.yard import keep

OLD_COLUMNS = "frame_design_id, mount, side, x_mm, y_mm, z_mm, u_mm, kind, size_mm, tool"


def old_points(connection: Connection) -> list[tuple[object, ...]]:
    """The mounts as the old book knew them."""
    return [tuple(row) for row in connection.execute(text(f"SELECT {OLD_COLUMNS} FROM frame_points ORDER BY id"))]


def furnish(book: Book) -> None:
    """A frame design with a mount that was measured twice."""
    frame = FrameDesign(
        code="heavy",
        name="Heavy",
        section=Section.OPEN,
        front=FrontSuspension.TORSION_BAR,
        rear=RearSuspension.LEAF,
    )
    first = FramePoint(frame_design_id=1, mount="M4", x_mm=2519.4, y_mm=558.8, z_mm=1.5, u_mm=3.175)
    again = FramePoint(frame_design_id=1, mount="M4", reading=2, x_mm=2516.1, y_mm=558.8, z_mm=1.5, u_mm=0.8)
    keep(book, frame, first, again)


def test_mounts_from_before_the_bench_are_first_readings_that_carry_the_body(book: Book) -> None:
    furnish(book)
    with book.engine.begin() as connection:
        command.downgrade(config(connection), "0001")
        before = old_points(connection)
    assert [point[3] for point in before] == [2516.1], "the last reading stays where only one can"
    upgrade(book.engine)
    with book.engine.begin() as connection:
        assert old_points(connection) == before
        found = connection.execute(text("SELECT reading, carries, u_x_mm, slot_mm FROM frame_points")).all()
    assert [tuple(row) for row in found] == [(1, "body", None, None)]


def test_a_mount_takes_a_second_reading_and_no_reading_twice(book: Book) -> None:
    furnish(book)
    with book.read() as session:
        readings = session.execute(text("SELECT reading, x_mm FROM frame_points ORDER BY reading")).all()
    assert [tuple(row) for row in readings] == [(1, 2519.4), (2, 2516.1)]
