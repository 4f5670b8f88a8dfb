"""What is worked out from the rules once and kept as rows, so that an ask reads only the rules that bear on it.

These tables are no knowledge of their own: they are made anew from the rules, and are in no CSV folder.
"""

from __future__ import annotations

from sqlalchemy import Boolean, Column, Index, Integer, String, Table

from app.book.schema.base import Base

WORKED_OUT = {"worked_out": True}
"""Marks what no CSV folder holds: a table, or a column of one."""

NO_MODEL = 0
"""The model of a rule that names none."""

rule_reach = Table(
    "rule_reach",
    Base.metadata,
    Column("gives", Boolean, primary_key=True, doc="no: where the rule is heard; yes: where a link of a chain starts"),
    Column("part_type_id", Integer, primary_key=True, autoincrement=False),
    Column("model_id", Integer, primary_key=True, autoincrement=False, doc="0: whatever the model"),
    Column(
        "link",
        Integer,
        primary_key=True,
        autoincrement=False,
        doc="of which rule, met in which way, whether turned round",
    ),
    Index(None, "link"),
    sqlite_with_rowid=False,
    info=WORKED_OUT,
)

rule_meets = Table(
    "rule_meets",
    Base.metadata,
    Column("second", Integer, primary_key=True, autoincrement=False),
    Column("first", Integer, primary_key=True, autoincrement=False),
    Column("families", String, nullable=False, doc="the families they meet in, as a JSON list"),
    Index(None, "first"),
    sqlite_with_rowid=False,
    info=WORKED_OUT,
)

rule_sheets = Table(
    "rule_sheets",
    Base.metadata,
    Column("rule_id", Integer, primary_key=True, autoincrement=False),
    Column("code", String),
    Column("why", String),
    Column("terms", String, doc="its kind, grade, direction, state, and whether it chains"),
    Column("types", String, doc="its part types, with the end of each"),
    Column("named", String, doc="the models it names: of each condition its number, end and models"),
    Column("besides", String, doc="all other conditions"),
    Column("rest", String, doc="its work, companions, consequences and evidence"),
    info=WORKED_OUT,
)
