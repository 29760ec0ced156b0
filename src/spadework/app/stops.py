"""How a command stops: faults in trade words on the error stream, exit code 2, nothing half-written."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["stopping"]


@contextmanager
def stopping() -> Iterator[None]:
    """Turn what a person can mend into a message and exit code 2; leave the rest to be seen as a defect."""
    try:
        yield
    except (ValueError, KeyError, OSError) as error:
        message = _message(error)
        if message is None:
            raise
        print(message, file=sys.stderr)
        raise SystemExit(2) from None


def _message(error: Exception) -> str | None:
    from spadework.plan import PlanFaults
    from spadework.present.files import CannotWrite

    if isinstance(error, PlanFaults | CannotWrite):
        return str(error)
    if isinstance(error, KeyError) and error.args and " " in str(error.args[0]):
        return str(error.args[0])
    return None
