"""What a store says when it cannot do what was asked: in plain words, with what to do."""

from __future__ import annotations

import errno
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from sqlalchemy.exc import DBAPIError

from spadework.plan import Fault, PlanFaults

__all__ = ["store_fault", "telling"]

_PART: Final = re.compile(r"\.(.+)\.part-[0-9a-f]{8}")
_NOTHING_CHANGED: Final = "nothing of this was stored, and what was stored before is there as it was"
_SQLITE: Final = {
    "SQLITE_FULL": f"the disk is full; {_NOTHING_CHANGED}; make room and add it again",
    "SQLITE_READONLY": f"the file or its folder cannot be written to; {_NOTHING_CHANGED}; copy it to where you may write",
    "SQLITE_CANTOPEN": "cannot be opened; a store needs a folder that can be written to, also to be read; "
    "copy it to where you may write",
    "SQLITE_BUSY": f"another program is writing to it; {_NOTHING_CHANGED}; wait and add it again",
    "SQLITE_LOCKED": f"another program is writing to it; {_NOTHING_CHANGED}; wait and add it again",
    "SQLITE_CORRUPT": "is damaged; leave it as it is and restore the last backup beside it",
    "SQLITE_NOTADB": "is no store of readings",
    "SQLITE_IOERR": f"the disk is full or failing; {_NOTHING_CHANGED}; look after the disk and add it again",
    "SQLITE_PERM": f"must not be written to; {_NOTHING_CHANGED}",
}
_SERVER: Final = {
    "53100": f"the disk of the server is full; {_NOTHING_CHANGED}; make room and add it again",
    "25006": f"the server takes no writing now; {_NOTHING_CHANGED}",
    "42501": f"you have no right to do this on the server; {_NOTHING_CHANGED}",
    "28P01": "the server does not know this name and password",
    "3D000": "the server has no such database; make it first",
}
_SYSTEM: Final = {
    errno.ENOSPC: "the disk is full; nothing was changed; make room and do it again",
    errno.EROFS: "the folder cannot be written to; nothing was changed",
    errno.EACCES: "the folder cannot be written to; nothing was changed",
    errno.EEXIST: "is there already and is not written over; give another name",
    errno.EFBIG: "the disk takes no larger file; nothing was changed; make room and do it again",
}


def store_fault(name: str, what: str) -> PlanFaults:
    """Return one fault of a store as an error; a file that is still being made has the name that it will have.

    Examples
    --------
    >>> print(store_fault(".all.db.part-1a2b3c4d", "is damaged"))
    all.db: 1 fault
      is damaged
    """
    unfinished = _PART.fullmatch(name)
    return PlanFaults([Fault("", what)], unfinished[1] if unfinished else name)


@contextmanager
def telling(name: str) -> Iterator[None]:
    """Turn what database and disk say into a fault in plain words.

    Parameters
    ----------
    name : str
        Name of the store, for the message.

    Raises
    ------
    PlanFaults
        In place of any error of database or disk.
    """
    try:
        yield
    except DBAPIError as error:
        raise store_fault(name, _of_database(error.orig)) from error
    except OSError as error:
        what = _SYSTEM.get(error.errno or 0, f"cannot be read or written ({error.strerror or error})")
        raise store_fault(name, what) from error


def _of_database(error: Any) -> str:
    code = getattr(error, "sqlite_errorname", "")
    for start, what in _SQLITE.items():
        if code.startswith(start):
            return what
    state = getattr(error, "sqlstate", None)
    if state in _SERVER:
        return _SERVER[state]
    if "does not exist" in str(error) and "database" in str(
        error
    ):  # refused before there is a connection, without a code
        return _SERVER["3D000"]
    if type(error).__name__ == "OperationalError" and state is None and not code:
        return "the server does not answer; if it was adding, add it again: nothing is stored twice"
    text = " ".join(str(error).split())
    return f"does not take this ({text[:160]}); {_NOTHING_CHANGED}"
