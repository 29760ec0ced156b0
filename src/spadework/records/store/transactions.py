"""Transactions of a store: one to read in, one to write in."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine

if TYPE_CHECKING:
    pass

__all__ = ["reading_from", "writing_to"]


@contextmanager
def reading_from(engine: Engine) -> Iterator[Connection]:
    """Read within one transaction, so that everything is seen as of one moment."""
    with engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing_to(engine: Engine) -> Iterator[Connection]:
    """Write within one transaction: everything or nothing; when it ends, it is on the disk."""
    with engine.connect().execution_options(spadework_writes=True) as connection, connection.begin():
        yield connection
