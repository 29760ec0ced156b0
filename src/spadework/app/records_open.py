"""What the commands under ``spadework records`` share: where the store of a plan lies, and how it is opened."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

if TYPE_CHECKING:
    from spadework.plan import PlanFaults, Read
    from spadework.records.store.store import Store

__all__ = [
    "STORE",
    "PlanArgument",
    "PlotOption",
    "StoreOption",
    "called",
    "opened",
    "plots_of",
    "seen_plan",
    "stop",
    "store_path",
]

STORE: Final = "readings.db"
"""Name of the store next to the plan."""
PlanArgument = Annotated[
    Path, typer.Argument(help="The plan file, or the folder that holds plan.toml.", show_default=False)
]
StoreOption = Annotated[
    str | None,
    typer.Option("--store", help=f"Store; {STORE} next to the plan if left out. Also postgresql://name@host/database."),
]
PlotOption = Annotated[str, typer.Option("--plot", help="Plot, as on its peg; or load 1, set-up 1.")]


def seen_plan(plan: Path) -> Read:
    """Return the plan of a file or a folder."""
    from spadework.plan import read

    return read(plan / "plan.toml" if os.path.isdir(plan) else plan)


def store_path(plan: Path, store: str | None) -> Path | str:
    """Return where the store of a plan lies."""
    if store is not None:
        return store if "://" in store else Path(store)
    return (plan if os.path.isdir(plan) else plan.parent) / STORE


def opened(plan: Path, store: str | None) -> Store:
    """Open the store of a plan; photos lie beside the file, or beside the plan where the store is a database.

    Raises
    ------
    PlanFaults
        If there is none yet, or it belongs to another comparison.
    """
    from spadework.records.store.opening import open_store

    seen = seen_plan(plan)
    place = store_path(plan, store)
    if isinstance(place, Path) and not os.path.lexists(place):
        raise stop(str(place), f"there is no store yet; spadework records start {plan} --zone ZONE makes one")
    photos = None if isinstance(place, Path) else seen.folder / "photos"  # a database has no folder of its own
    return open_store(place, seen.plan.question, photos=photos)


def called(*words: object, store: str | None = None) -> str:
    """Return a command under ``spadework records`` as it is typed, for the same store.

    Examples
    --------
    >>> called("take-in", Path("my field"), "harvest.csv")
    "spadework records take-in 'my field' harvest.csv"
    """
    import shlex

    more = ("--store", store) if store is not None else ()
    return f"spadework records {shlex.join(str(word) for word in (*words, *more))}"


def plots_of(plan: Path) -> dict[str, tuple[str, str]]:
    """Return block and system of every plot by its number; empty where the plan draws no layout that stays the same."""
    from spadework.plan import PlanFaults
    from spadework.records.sheets.field_sheets import laid_out

    try:
        laid = laid_out(seen_plan(plan))
    except PlanFaults:
        return {}
    return {str(plot.number): (str(plot.block), str(plot.labels[0])) for plot in laid.rows}


def stop(name: str, what: str, key: str = "") -> PlanFaults:
    """Return one fault as an error."""
    from spadework.plan import Fault, PlanFaults

    return PlanFaults([Fault(key, what)], name)
