"""A frame read from CSV as `load` takes it, without writing it to the book: one sheet, or a folder of a frame's sheets.

The columns that say whose survey or design it is may be missing; all else is as `donorbook load --columns` documents.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any, cast

from app.book.bench.readings import read_length
from app.book.bench.shapes import DesignRows, Held, SurveyRows, design_held, survey_held
from app.book.bench.typed import TypedMount
from app.book.facts import tool_named
from app.book.schema import (
    Base,
    Fact,
    FrameDesign,
    FrameFact,
    FramePoint,
    FrameStation,
    FrameSurvey,
    SurveyMeasure,
    SurveyPoint,
    SurveyStation,
)
from app.book.sheets.cells import CellError
from app.book.sheets.files import Broken, Row, read_rows
from app.book.sheets.rowlaws import LAWS
from app.book.sheets.spec import Column, Sheet, sheet_named
from app.errors import BadInput, NotFound
from app.fit.terms import FactKind

SURVEY_SHEETS: Mapping[str, type[Base]] = {
    "survey_points": SurveyPoint,
    "survey_stations": SurveyStation,
    "survey_measures": SurveyMeasure,
    "frame_surveys": FrameSurvey,
}
DESIGN_SHEETS: Mapping[str, type[Base]] = {
    "frame_points": FramePoint,
    "frame_stations": FrameStation,
    "frame_facts": FrameFact,
    "frame_designs": FrameDesign,
}
_SHEETS = {**SURVEY_SHEETS, **DESIGN_SHEETS}
_WORKED_OUT = ("mm", "u_mm", "tool")
"""Columns of survey_measures that a person with a notepad may leave out."""
_LOOKED_AT = ("number", "at", "by", "verdict")
"""Columns of frame_surveys that a file beside the book may leave out."""


@dataclass
class _Frame:
    """The rows of one frame, by whose they are."""

    rows: dict[str, list[tuple[str, Base]]] = field(default_factory=dict)
    fact_names: dict[int, str] = field(default_factory=dict)

    def of(self, name: str, owner: str) -> list[Any]:
        """The rows of a sheet that belong to one owner or to nobody by name."""
        return [row for whose, row in self.rows.get(name, []) if whose in ("", owner)]


def read_frame(path: Path) -> Held:
    """The frame in a file or folder.

    Raises:
        NotFound: there is nothing there.
        BadInput: a cell that cannot be read, naming file, line and column; several frames in one file.
    """
    frame = _Frame()
    for sheet, file in _files(path):
        frame.rows[sheet.name] = list(_rows(sheet, file, frame))
    owners = list(dict.fromkeys(whose for rows in frame.rows.values() for whose, _ in rows if whose))
    if any(name in DESIGN_SHEETS for name in frame.rows):
        return design_held(_only(path, owners) or path.stem, _design_rows(frame, _only(path, owners)))
    frames = list(dict.fromkeys(owner.rpartition("/")[0] or owner for owner in owners))
    name = _only(path, frames) or path.stem
    return survey_held(name, [_survey_rows(frame, owner) for owner in owners or [""]])


def typed_mounts(path: Path) -> tuple[TypedMount, ...]:
    """The mounts of a survey file as typed, to go on with at the bench.

    Raises:
        NotFound, BadInput: as `read_frame`.
    """
    frame = _Frame()
    for sheet, file in _files(path):
        if sheet.name == "survey_points":
            frame.rows[sheet.name] = list(_rows(sheet, file, frame))
    points = [row for _, row in frame.rows.get("survey_points", []) if isinstance(row, SurveyPoint)]
    names = [each.name for each in fields(TypedMount)]
    return tuple(TypedMount(**{name: getattr(point, name) for name in names}) for point in points)


def _files(path: Path) -> list[tuple[Sheet, Path]]:
    if path.is_dir():
        found = [(sheet_named(name), path / f"{name}.csv") for name in _SHEETS if (path / f"{name}.csv").exists()]
        if not found:
            names = ", ".join(f"{name}.csv" for name in _SHEETS)
            raise NotFound(f"no sheet of a frame in {path}", f"It holds some of {names}.", place="frame")
        return found
    if not path.exists():
        raise NotFound(f"there is no file {path}", "Give a CSV file, a stock number or a frame design.", place="frame")
    return [(_sheet_of(path), path)]


def _sheet_of(path: Path) -> Sheet:
    """The sheet a file is of, by its name or by its header."""
    if path.stem in _SHEETS:
        return sheet_named(path.stem)
    first = next(read_rows(path), None)
    header = set(first.cells) if isinstance(first, Row) else set()
    fitting = [
        sheet_named(name) for name in _SHEETS if header and header <= {c.header for c in sheet_named(name).columns}
    ]
    fitting = [sheet for sheet in fitting if _must_have(sheet) <= header]
    if fitting:
        return fitting[0]
    wanted = "mount,side,x,y,z,tool"
    raise BadInput(
        f"the header is that of no frame: {', '.join(sorted(header)) or 'nothing'}",
        f"Write mounts as {wanted}; see: donorbook load --columns.",
        place=f"{path.name}, line 1",
    )


def _must_have(sheet: Sheet) -> set[str]:
    left_out = (*_WORKED_OUT, *_LOOKED_AT)
    return {c.header for c in sheet.columns if c.required and not c.refers and c.header not in left_out}


def _rows(sheet: Sheet, path: Path, frame: _Frame) -> Iterator[tuple[str, Base]]:
    rows = read_rows(path)
    header = next(rows, None)
    if not isinstance(header, Row):
        raise BadInput("there is no header row", "Write one; see: donorbook load --columns.", place=path.name)
    columns = _columns(sheet, header, path)
    for row in rows:
        place = f"{path.name}, line {row.line}"
        if isinstance(row, Broken) or len(row.cells) != len(columns):
            said = row.reason if isinstance(row, Broken) else f"{len(row.cells)} cells, the header has {len(columns)}"
            raise BadInput(said, "Write the row as CSV, a cell for each column.", place=place)
        yield _row(sheet, dict(zip(columns, row.cells, strict=True)), frame, place)


def _columns(sheet: Sheet, header: Row, path: Path) -> list[Column]:
    known = {column.header: column for column in sheet.columns}
    strange = [name for name in header.cells if name not in known]
    missing = _must_have(sheet) - set(header.cells)
    if strange or missing:
        said = f"no column {', '.join(sorted(missing))}" if missing else f"{strange[0]!r} is no column of {sheet.file}"
        raise BadInput(said, f"Columns are {', '.join(known)}.", place=f"{path.name}, line {header.line}")
    return [known[name] for name in header.cells]


def _row(sheet: Sheet, cells: Mapping[Column, str], frame: _Frame, place: str) -> tuple[str, Base]:
    values: dict[str, Any] = {}
    owner = ""
    for column in sheet.columns:
        cell = cells.get(column, "")
        if column.refers == "facts":
            values[column.name] = len(frame.fact_names) + 1
            frame.fact_names[values[column.name]] = cell
        elif column.refers:
            owner = owner or cell
        elif column in cells:
            values[column.name] = _read(sheet, column, cell, f"{place}, {column.header}")
        elif not column.required:
            values[column.name] = column.missing()
    if sheet.name == "frame_surveys":
        owner = f"{owner}/{values.get('number') or 1}" if owner else ""
    if sheet.name == "frame_designs":
        owner = str(values.get("code") or "")
    _obey(sheet, values, place)
    return owner, _SHEETS[sheet.name](**_attributes(sheet, values))


def _read(sheet: Sheet, column: Column, cell: str, place: str) -> Any:
    if not cell and sheet.name in SURVEY_SHEETS and column.header in (*_WORKED_OUT, *_LOOKED_AT):
        return None
    try:
        return column.kind.read(cell) if cell else column.empty()
    except CellError as error:
        raise BadInput(f"{cell!r} cannot stand", f"Expected {error}.", place=place) from None


def _obey(sheet: Sheet, values: dict[str, Any], place: str) -> None:
    """What was left to be worked out is, and the sheet's law is kept."""
    if sheet.name == "survey_measures":
        where = f"{place}, {values['name']}"
        tool = tool_named(values.get("tool") or "hook tape")
        taken = read_length(values["typed"], tool, where)
        if values.get("mm") is None:
            values["mm"] = taken.mm
        if values.get("u_mm") is None:
            values["u_mm"] = taken.u_mm
        values["tool"] = taken.tool
    law = LAWS.get(sheet.name)
    for broken in law(values, {}) if law else ():
        point = " ".join(filter(None, (str(values.get(name, "")) for name in ("mount", "station", "side"))))
        raise BadInput(
            f"{broken.found!r} cannot stand", f"Expected {broken.expected}.", place=f"{place}, {point}, {broken.column}"
        )


def _attributes(sheet: Sheet, values: Mapping[str, Any]) -> dict[str, Any]:
    """Values by the attribute of the table's class, which may be called otherwise than the column."""
    by_column = {column.name: column.header for column in sheet.columns if not column.refers}
    named = {by_column.get(name, name): value for name, value in values.items()}
    return {name: value for name, value in named.items() if value is not None or name not in _LOOKED_AT}


def _only(path: Path, owners: Sequence[str]) -> str:
    if len(owners) > 1:
        raise BadInput(
            f"several frames in one file: {', '.join(owners)}", "Keep one frame's rows in it.", place=path.name
        )
    return owners[0] if owners else ""


def _survey_rows(frame: _Frame, owner: str) -> SurveyRows:
    looks = frame.of("frame_surveys", owner)
    return SurveyRows(
        points=frame.of("survey_points", owner),
        stations=frame.of("survey_stations", owner),
        measures=frame.of("survey_measures", owner),
        look=looks[0] if looks else None,
    )


def _design_rows(frame: _Frame, owner: str) -> DesignRows:
    designs = frame.of("frame_designs", owner)
    facts = [
        (Fact(name=frame.fact_names[cast(int, row.fact_id)], kind=FactKind.LENGTH, unit="in"), row)
        for row in frame.of("frame_facts", owner)
    ]
    return DesignRows(
        design=designs[0] if designs else None,
        points=frame.of("frame_points", owner),
        stations=frame.of("frame_stations", owner),
        facts=facts,
    )
