"""The first tables: comparison, files taken in, readings, photos; and the triggers that refuse changes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

__all__ = ["downgrade", "upgrade"]

revision = "0001"
down_revision = None


def _text(name: str, *rest: sa.ForeignKey, null: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), *rest, nullable=null)


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "comparison",
        _text("id"),
        _text("question"),
        _text("zone"),
        sa.Column("invented", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_comparison"),
    )
    op.create_table(
        "import_batch",
        _text("id"),
        _text("comparison", sa.ForeignKey("comparison.id", name="fk_import_batch_comparison")),
        *(_text(name) for name in ("record", "file", "sha256", "person", "imported_at")),
        sa.PrimaryKeyConstraint("id", name="pk_import_batch"),
    )
    old = sa.ForeignKey("reading.id", name="fk_reading_corrects", deferrable=True, initially="DEFERRED")
    op.create_table(
        "reading",
        *(_text(name) for name in ("id", "record", "field", "plot", "unit", "taken_at", "person", "made_at")),
        sa.Column("value", sa.Double()),
        _text("why_none"),
        sa.Column("limit_value", sa.Double()),
        _text("place"),
        sa.Column("sample", sa.Integer(), nullable=False),
        *(_text(name) for name in ("instrument", "note", "kept")),
        _text("corrects", old, null=True),
        *(_text(name) for name in ("reason", "source_file")),
        sa.Column("source_line", sa.Integer()),
        *(_text(name) for name in ("taken_utc", "root", "digest")),
        _text("comparison", sa.ForeignKey("comparison.id", name="fk_reading_comparison")),
        _text("batch", sa.ForeignKey("import_batch.id", name="fk_reading_batch"), null=True),
        sa.PrimaryKeyConstraint("id", name="pk_reading"),
        sa.CheckConstraint("(value IS NULL) = (why_none <> '')", name=op.f("ck_reading_value_or_nothing")),
        sa.CheckConstraint("(limit_value IS NOT NULL) = (why_none = 'below detection')", name=op.f("ck_reading_limit")),
        sa.CheckConstraint(
            "why_none IN ('', 'missing', 'not measured', 'below detection', 'unreadable')",
            name=op.f("ck_reading_kind_of_nothing"),
        ),
        sa.CheckConstraint("(corrects IS NULL) = (reason = '')", name=op.f("ck_reading_correction_has_reason")),
        sa.CheckConstraint("(corrects IS NULL) = (root = id)", name=op.f("ck_reading_root")),
    )
    op.create_index(op.f("ix_reading_plot_field"), "reading", ["plot", "record", "field"])
    corrections = sa.text("corrects IS NOT NULL")
    for name in ("root", "corrects"):
        index = op.f(f"ix_reading_{name}")
        op.create_index(index, "reading", [name], sqlite_where=corrections, postgresql_where=corrections)
    op.create_table(
        "photo",
        _text("id"),
        _text("comparison", sa.ForeignKey("comparison.id", name="fk_photo_comparison")),
        *(_text(name) for name in ("sha256", "name")),
        sa.Column("bytes", sa.BigInteger(), nullable=False),
        _text("reading", sa.ForeignKey("reading.id", name="fk_photo_reading"), null=True),
        *(_text(name) for name in ("plot", "taken_at", "person", "note", "made_at")),
        sa.PrimaryKeyConstraint("id", name="pk_photo"),
    )
    op.create_index(op.f("ix_photo_plot"), "photo", ["plot"])
    for table in ("comparison", "import_batch", "reading", "photo"):
        for statement in _triggers(table, op.get_bind().dialect.name):
            op.execute(sa.text(statement))


def downgrade() -> None:
    """Refuse: going back would lose readings."""
    raise NotImplementedError(
        "a store is never taken back to an older version; restore the backup that was made before"
    )


def _triggers(table: str, dialect: str) -> tuple[str, ...]:
    """Return the statements that make a table refuse every change and every deletion.

    SQLite lets one row take the place of another without a deletion that a trigger would see; the third trigger refuses
    that as well.  PostgreSQL can empty a whole table at once; so there is one for that.
    """
    said = f"rows of {table} are never changed or taken away; add a correction"
    if dialect == "sqlite":
        stop = f"BEGIN SELECT RAISE(ABORT, '{said}'); END"
        there = f"WHEN EXISTS (SELECT 1 FROM {table} WHERE id = NEW.id)"  # noqa: S608 (names of our own tables)
        return (
            f"CREATE TRIGGER {table}_never_changed BEFORE UPDATE ON {table} {stop}",
            f"CREATE TRIGGER {table}_never_deleted BEFORE DELETE ON {table} {stop}",
            f"CREATE TRIGGER {table}_never_replaced BEFORE INSERT ON {table} {there} {stop}",
        )
    function = f"{table}_stays"
    return (
        f"CREATE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RAISE EXCEPTION '{said}'; END $$",
        f"CREATE TRIGGER {table}_never_changed BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {function}()",
        f"CREATE TRIGGER {table}_never_emptied BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION {function}()",
    )
