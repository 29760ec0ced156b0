"""Files that a command is to write: none of them is a file that it reads, and no two are one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from spadework.plan import Fault

__all__ = ["clashes"]


def clashes(read: Iterable[Path | None], written: Mapping[str, Path | None]) -> list[Fault]:
    """Return a fault for every option whose file is read, or is written by another option already.

    Parameters
    ----------
    read : iterable of Path or None
        Files that are read.
    written : mapping of str to Path or None
        Option and the file that it is to write; None where it is not given.
    """
    from spadework.plan import Fault

    sources = {path.resolve(): path.name for path in read if path is not None}
    taken: dict[Path, str] = {}
    faults = []
    for option, path in written.items():
        if path is None:
            continue
        place = path.resolve()
        if place in sources:
            faults.append(Fault(option, f"would overwrite {sources[place]}, which is read; name another file"))
        elif place in taken:
            faults.append(Fault(option, f"is the file that {taken[place]} is to write; name another one"))
        taken.setdefault(place, option)
    return faults
