"""The two frames of the casebook and a plain one, as shapes; lengths in inches here."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from scipy.spatial.transform import Rotation

from app.fit.frames.shape import Doubt, FrameKind, FrameShape, Known, Mount, RailStation, Reading
from app.fit.terms import FrontSuspension, RearSuspension, Section, Side

INCH = 25.4
Spot = tuple[float, float, float]
Bend = Callable[[Spot], Spot]
CASEBOOK = Path(__file__).parents[2] / "casebook"
LIGHT, HEAVY = "light boxed", "heavy C-channel"

PARTS = {
    # The measures of both frames by name: light, heavy.
    Known.SPREAD: (36.00, 36.80),
    Known.WHEELBASE: (130.0, 130.0),
    Known.UPPER_BOLTS: (8.60, 10.25),
    Known.ARM_LENGTH: (17.25, 18.25),
    Known.SLEEVES: (9.50, 9.50),
    Known.CORE_SPREAD: (37.00, 39.50),
    Known.STRAPS: (19.25, 22.00),
    Known.TANK_GAP: (45.25, None),
    Known.TANK_LENGTH: (35.50, 44.00),
    Known.RECEIVER: (36.10, 36.90),
}


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one of the casebook's tables."""
    with (CASEBOOK / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def design(code: str, reading: int = 2) -> FrameShape:
    """A frame design of the casebook as its tables have it, by its first tape or up to a later reading."""
    row = next(each for each in rows("frame_designs") if each["code"] == code)
    height, width, wall = (float(row[name]) for name in ("rail_height_mm", "rail_width_mm", "wall_mm"))
    taken = [(known, pair[code == HEAVY]) for known, pair in PARTS.items()]
    return FrameShape(
        name=code,
        mounts=tuple(_mounts(code, reading).values()),
        rail=(RailStation(0.0, height, width, wall),),
        front=FrontSuspension(row["front"]),
        rear=RearSuspension(row["rear"]),
        section=Section(row["section"]),
        readings=tuple(Reading(known, inches * INCH) for known, inches in taken if inches is not None),
        datum=row["datum"],
    )


def _mounts(code: str, reading: int) -> dict[str, Mount]:
    found = {}
    for each in rows("frame_points"):
        if each["frame_design"] == code and int(each["reading"]) <= reading:
            x, y, z = (float(each[f"{axis}_mm"]) for axis in "xyz")
            doubt = Doubt(*(float(each[f"u_{axis}_mm"]) for axis in "xyz"))
            size = float(each["size_mm"])
            found[each["mount"]] = Mount(
                each["mount"], Side(each["side"]), x, y, z, doubt, each["kind"], size, None, each["tool"]
            )
    return found


def with_doubt(shape: FrameShape, doubt: Doubt) -> FrameShape:
    """The same frame, every mount measured so."""
    return replace(shape, mounts=tuple(replace(mount, doubt=doubt) for mount in shape.mounts))


def with_mount(shape: FrameShape, mount_name: str, side: Side = Side.NONE, **changes: object) -> FrameShape:
    """The same frame with one mount changed."""
    chosen = tuple(
        replace(mount, **changes) if (mount.name, mount.side) == (mount_name, side) else mount  # type: ignore[arg-type]
        for mount in shape.mounts
    )
    return replace(shape, mounts=chosen)


def plain() -> FrameShape:
    """The design of an invented frame of six stations, both sides, in millimeters, without doubt."""
    places = [(0, 470, 0), (960, 550, 5), (1700, 560, 0), (2500, 560, 0), (3250, 515, 40), (4150, 480, 20)]
    mounts = [
        Mount(f"P{i}", side, float(x), float(y), float(z))
        for i, (x, y, z) in enumerate(places, 1)
        for side in (Side.LH, Side.RH)
    ]
    return FrameShape("plain design", mounts=tuple(mounts))


def bent(shape: FrameShape, bend: Bend, doubt_mm: float = 0.0) -> FrameShape:
    """A survey of the frame after each point, x, to the right and up, was moved by `bend`."""
    mounts = []
    for mount in shape.mounts:
        x, right, z = bend((mount.x_mm, mount.lateral_mm, mount.z_mm))
        y = -right if mount.side is Side.LH else right
        mounts.append(replace(mount, x_mm=x, y_mm=y, z_mm=z, doubt=Doubt.even(doubt_mm)))
    return replace(shape, name="survey", kind=FrameKind.SURVEY, mounts=tuple(mounts), datum="")


def surveyed(shape: FrameShape, turn: Spot, shift: Spot, doubt_mm: float = 0.0) -> FrameShape:
    """A survey of the frame laid down askew: turned by degrees about x, y and z, then shifted."""
    rotation = Rotation.from_euler("xyz", turn, degrees=True)

    def askew(spot: Spot) -> Spot:
        x, y, z = (float(each) for each in rotation.apply(spot))
        return x + shift[0], y + shift[1], z + shift[2]

    return bent(shape, askew, doubt_mm)
