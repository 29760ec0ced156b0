"""The tables of the store, as the newest of the versions under ``migrations`` makes them.

Triggers, which the versions make as well, refuse every change of a row and every deletion.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    text,
)

__all__ = ["COMPARISON", "IMPORT_BATCH", "KEPT", "METADATA", "PHOTO", "READING"]

METADATA: Final = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "ix": "ix_%(table_name)s_%(constraint_name)s",
    }
)

_CORRECTIONS: Final = text("corrects IS NOT NULL")
"""Few rows are corrections; an index of these alone costs the others nothing."""

COMPARISON: Final = Table(
    "comparison",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("question", Text, nullable=False),
    Column("zone", Text, nullable=False),
    Column("invented", Boolean, nullable=False),
)
"""The question that the readings belong to; `zone` names the time zone of the field."""

IMPORT_BATCH: Final = Table(
    "import_batch",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("comparison", Text, ForeignKey("comparison.id"), nullable=False),
    Column("record", Text, nullable=False),
    Column("file", Text, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("imported_at", Text, nullable=False),
)
"""A file whose readings were taken in, with the checksum of what it held."""

READING: Final = Table(
    "reading",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("record", Text, nullable=False),
    Column("field", Text, nullable=False),
    Column("plot", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("taken_at", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("made_at", Text, nullable=False),
    Column("value", Double),
    Column("why_none", Text, nullable=False),
    Column("limit_value", Double),
    Column("place", Text, nullable=False),
    Column("sample", Integer, nullable=False),
    Column("instrument", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("kept", Text, nullable=False),
    Column("corrects", Text, ForeignKey("reading.id", deferrable=True, initially="DEFERRED")),
    Column("reason", Text, nullable=False),
    Column("source_file", Text, nullable=False),
    Column("source_line", Integer),
    Column("taken_utc", Text, nullable=False),
    Column("root", Text, nullable=False),
    Column("digest", Text, nullable=False),
    Column("comparison", Text, ForeignKey("comparison.id"), nullable=False),
    Column("batch", Text, ForeignKey("import_batch.id")),
    CheckConstraint("(value IS NULL) = (why_none <> '')", name="value_or_nothing"),
    CheckConstraint("(limit_value IS NOT NULL) = (why_none = 'below detection')", name="limit"),
    CheckConstraint(
        "why_none IN ('', 'missing', 'not measured', 'below detection', 'unreadable')", name="kind_of_nothing"
    ),
    CheckConstraint("(corrects IS NULL) = (reason = '')", name="correction_has_reason"),
    CheckConstraint("(corrects IS NULL) = (root = id)", name="root"),
    Index("plot_field", "plot", "record", "field"),
    Index("root", "root", sqlite_where=_CORRECTIONS, postgresql_where=_CORRECTIONS),
    Index("corrects", "corrects", sqlite_where=_CORRECTIONS, postgresql_where=_CORRECTIONS),
)
"""One row a reading, its columns in the order of `Reading`; a correction is a row more, which points at the old one.

`root` is the first reading of the chain that a row belongs to, itself where it corrects nothing; `taken_utc` sorts.
"""

PHOTO: Final = Table(
    "photo",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("comparison", Text, ForeignKey("comparison.id"), nullable=False),
    Column("sha256", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("bytes", BigInteger, nullable=False),
    Column("reading", Text, ForeignKey("reading.id")),
    Column("plot", Text, nullable=False),
    Column("taken_at", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("made_at", Text, nullable=False),
    Index("plot", "plot"),
)
"""A photo that lies beside the store under its checksum."""

KEPT: Final = (COMPARISON, IMPORT_BATCH, READING, PHOTO)
"""All tables, in an order in which they can be filled."""
