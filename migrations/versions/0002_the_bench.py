"""the bench."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

OLD_POINT_KEY = ["frame_design_id", "mount", "side"]
POINT_KEY = [*OLD_POINT_KEY, "reading"]
SECTIONS = ("fully boxed", "open C-channel", "part boxed", "perimeter", "tube", "unibody")


def upgrade() -> None:
    """Bring the book up."""
    _add_to_frame_points()
    _create_frames()
    _create_patterns()
    _create_surveyed()


def _side() -> sa.Enum:
    return sa.Enum("LH", "RH", "", name="side", native_enum=False, create_constraint=True, length=32)


def _section() -> sa.Enum:
    return sa.Enum(*SECTIONS, name="section", native_enum=False, create_constraint=True, length=32)


def _length(name: str, *, nullable: bool = True) -> sa.Column[float]:
    return sa.Column(name, sa.Float(precision=53), nullable=nullable)


def _words(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.String(), nullable=False) for name in names]


def _add_to_frame_points() -> None:
    """Points get a reading, doubts by direction, slots, and what they carry; what is there stays the first reading."""
    with op.batch_alter_table("frame_points") as table:
        table.add_column(sa.Column("reading", sa.Integer(), nullable=True))
        for name in ("u_x_mm", "u_y_mm", "u_z_mm", "slot_mm", "slot_degrees"):
            table.add_column(_length(name))
        table.add_column(sa.Column("carries", sa.String(), nullable=True))
    op.execute("UPDATE frame_points SET reading = 1, carries = 'body'")
    with op.batch_alter_table("frame_points") as table:
        table.alter_column("reading", existing_type=sa.Integer(), nullable=False)
        table.alter_column("carries", existing_type=sa.String(), nullable=False)
        table.drop_constraint(op.f("uq_frame_points_frame_design_id_mount_side"), type_="unique")
        table.create_unique_constraint(op.f("uq_frame_points_frame_design_id_mount_side_reading"), POINT_KEY)
        table.create_check_constraint(op.f("ck_frame_points_reading_counts_from_one"), "reading > 0")


def _create_frames() -> None:
    op.create_table(
        "frame_stations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("frame_design_id", sa.Integer(), nullable=False),
        *_words("station"),
        sa.Column("side", _side(), nullable=False),
        _length("x_mm", nullable=False),
        *map(_length, ("face_mm", "height_mm", "width_mm", "wall_mm", "top_mm", "bottom_mm")),
        _length("u_mm", nullable=False),
        sa.Column("section", _section(), nullable=True),
        *_words("fitted", "tool"),
        sa.CheckConstraint("u_mm >= 0", name=op.f("ck_frame_stations_doubt_not_negative")),
        sa.ForeignKeyConstraint(
            ["frame_design_id"], ["frame_designs.id"], name=op.f("fk_frame_stations_frame_design_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame_stations")),
        sa.UniqueConstraint(
            "frame_design_id", "station", "side", name=op.f("uq_frame_stations_frame_design_id_station_side")
        ),
    )
    op.create_table(
        "frame_facts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("frame_design_id", sa.Integer(), nullable=False),
        sa.Column("fact_id", sa.Integer(), nullable=False),
        *_words("value"),
        _length("u_mm"),
        *_words("tool"),
        sa.ForeignKeyConstraint(["frame_design_id"], ["frame_designs.id"], name=op.f("fk_frame_facts_frame_design_id")),
        sa.ForeignKeyConstraint(["fact_id"], ["facts.id"], name=op.f("fk_frame_facts_fact_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_frame_facts")),
        sa.UniqueConstraint("frame_design_id", "fact_id", name=op.f("uq_frame_facts_frame_design_id_fact_id")),
    )


def _create_patterns() -> None:
    op.create_table(
        "design_points",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("design_id", sa.Integer(), nullable=False),
        *_words("point"),
        sa.Column("side", _side(), nullable=False),
        *(_length(name, nullable=False) for name in ("x_mm", "y_mm", "z_mm", "u_mm")),
        *_words("kind"),
        *map(_length, ("size_mm", "slot_mm", "slot_degrees")),
        *_words("tool"),
        sa.CheckConstraint("u_mm >= 0", name=op.f("ck_design_points_doubt_not_negative")),
        sa.ForeignKeyConstraint(["design_id"], ["designs.id"], name=op.f("fk_design_points_design_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_design_points")),
        sa.UniqueConstraint("design_id", "point", "side", name=op.f("uq_design_points_design_id_point_side")),
    )
    op.create_table(
        "part_seats",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_type_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        *_words("mounts"),
        sa.Column("fact_id", sa.Integer(), nullable=True),
        *map(_length, ("allowed_mm", "sleeve_mm", "shim_mm")),
        *_words("note"),
        sa.CheckConstraint("mounts <> '' OR fact_id IS NOT NULL", name=op.f("ck_part_seats_mounts_or_a_span")),
        sa.CheckConstraint("allowed_mm IS NULL OR allowed_mm >= 0", name=op.f("ck_part_seats_limit_not_negative")),
        sa.CheckConstraint("sleeve_mm IS NULL OR sleeve_mm > 0", name=op.f("ck_part_seats_sleeve_above_zero")),
        sa.CheckConstraint("shim_mm IS NULL OR shim_mm >= 0", name=op.f("ck_part_seats_shim_not_negative")),
        sa.ForeignKeyConstraint(["part_type_id"], ["part_types.id"], name=op.f("fk_part_seats_part_type_id")),
        sa.ForeignKeyConstraint(["fact_id"], ["facts.id"], name=op.f("fk_part_seats_fact_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_seats")),
        sa.UniqueConstraint("part_type_id", "number", name=op.f("uq_part_seats_part_type_id_number")),
    )


def _create_surveyed() -> None:
    op.create_table(
        "survey_points",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("survey_id", sa.Integer(), nullable=False),
        *_words("mount"),
        sa.Column("side", _side(), nullable=False),
        sa.Column("reading", sa.Integer(), nullable=False),
        *_words("x", "y", "z"),
        *map(_length, ("x_mm", "y_mm", "z_mm", "u_x_mm", "u_y_mm", "u_z_mm")),
        *_words("tool", "x_tool", "y_tool", "z_tool", "kind", "size", "carries"),
        sa.CheckConstraint("reading > 0", name=op.f("ck_survey_points_reading_counts_from_one")),
        sa.CheckConstraint(
            "u_x_mm >= 0 AND u_y_mm >= 0 AND u_z_mm >= 0", name=op.f("ck_survey_points_doubt_not_negative")
        ),
        sa.ForeignKeyConstraint(["survey_id"], ["frame_surveys.id"], name=op.f("fk_survey_points_survey_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_survey_points")),
        sa.UniqueConstraint(
            "survey_id", "mount", "side", "reading", name=op.f("uq_survey_points_survey_id_mount_side_reading")
        ),
    )
    sizes = ("face", "height", "width", "wall", "top", "bottom")
    op.create_table(
        "survey_stations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("survey_id", sa.Integer(), nullable=False),
        *_words("station"),
        sa.Column("side", _side(), nullable=False),
        sa.Column("reading", sa.Integer(), nullable=False),
        *_words("x", *sizes),
        *(_length(f"{name}_mm") for name in ("x", *sizes)),
        *_words("tool", "wall_tool"),
        sa.Column("section", _section(), nullable=True),
        *_words("fitted"),
        sa.CheckConstraint("reading > 0", name=op.f("ck_survey_stations_reading_counts_from_one")),
        sa.ForeignKeyConstraint(["survey_id"], ["frame_surveys.id"], name=op.f("fk_survey_stations_survey_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_survey_stations")),
        sa.UniqueConstraint(
            "survey_id", "station", "side", "reading", name=op.f("uq_survey_stations_survey_id_station_side_reading")
        ),
    )


def downgrade() -> None:
    """Take it back; of a point measured twice, the last reading stays."""
    for name in ("survey_stations", "survey_points", "part_seats", "design_points", "frame_facts", "frame_stations"):
        op.drop_table(name)
    op.execute(
        "DELETE FROM frame_points WHERE EXISTS (SELECT 1 FROM frame_points later WHERE"
        " later.frame_design_id = frame_points.frame_design_id AND later.mount = frame_points.mount"
        " AND later.side = frame_points.side AND later.reading > frame_points.reading)"
    )
    with op.batch_alter_table("frame_points") as table:
        table.drop_constraint(op.f("ck_frame_points_reading_counts_from_one"), type_="check")
        table.drop_constraint(op.f("uq_frame_points_frame_design_id_mount_side_reading"), type_="unique")
        table.create_unique_constraint(op.f("uq_frame_points_frame_design_id_mount_side"), OLD_POINT_KEY)
        for name in ("reading", "u_x_mm", "u_y_mm", "u_z_mm", "slot_mm", "slot_degrees", "carries"):
            table.drop_column(name)
