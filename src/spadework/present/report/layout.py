"""The part of the report on the field: a map to scale with every plot, what lies where, and what the layout leans on."""

from __future__ import annotations

from spadework.layout.from_plan import Told
from spadework.layout.place import Placed
from spadework.present.document.blocks import Block, Cell, Drawing, Grid, Items, Section, Text
from spadework.present.layout.map import layout_map
from spadework.present.layout.map_key import STANDINGS_PLANNED
from spadework.present.layout.words import join_words, remarks, rows_words, weighed_words, wheel_words

__all__ = ["layout_section", "no_layout_section"]

_TITLE = "Where does every plot lie?"
_ROOM_MM = (170.0, 174.0)


def layout_section(placed: Placed, told: Told) -> Section:
    """Return the map of a layout with its blocks, rows and remarks.

    Parameters
    ----------
    placed : Placed
        The layout on its field.
    told : Told
        What else is known of it.
    """
    first, blocks = placed.plots[0], placed.laid.asked.blocks
    drawn = layout_map(placed, told.table, room_mm=_ROOM_MM, invented=told.invented, prefix="plots-", ratio=False)
    rows = {
        number: [f"{p.number} {', '.join(p.labels)}" for p in placed.plots if p.block == number]
        for number in range(1, blocks + 1)
    }
    alt = "Map of the field, north up. " + " ".join(f"Block {n}: {'; '.join(row)}." for n, row in rows.items())
    most = max(map(len, rows.values()))
    grid = tuple(
        (
            Cell(f"block {number}"),
            *(Cell(text) for text in row),
            *(Cell("") for _ in range(most - len(row))),
        )
        for number, row in rows.items()
    )
    words = " ".join((rows_words(placed), join_words(placed.width, told.widths), weighed_words(placed, told)))
    said: list[Block] = [
        Text(
            f"{len(placed.plots)} plots of {first.width_m:g} x {first.length_m:.0f} m in {blocks} blocks on a field of "
            f"{placed.host.area_ha:.2f} ha; rows run at {placed.heading_deg:.1f} degrees from true north. What readings of it "
            f"will be: {STANDINGS_PLANNED[placed.standing]}."
        ),
        Drawing("plots-on-the-field", drawn, alt),
        Grid(
            "Plots from the left, looking from A to B",
            ("", *(str(place) for place in range(1, most + 1))),
            grid,
            (0.7, *(1.0 for _ in range(most))),
        ),
        Text(" ".join(words.split())),
        Items(tuple(_led(words) for words in wheel_words(placed, told))),
    ]
    if placed.changes:
        said += [Text("Changed by hand", "title"), Items(tuple((one.what, one.reason) for one in placed.changes))]
    said.append(Items(tuple(("", words) for words in remarks(placed, told))))
    return Section("plots", _TITLE, said)


def no_layout_section(why: str) -> Section:
    """Return a section that says why the layout of a plan cannot be shown."""
    return Section("plots", _TITLE, [Text(f"No map: {why}", "warning")])


def _led(text: str) -> tuple[str, str]:
    lead, _, rest = text.partition(": ")
    return lead, f"{rest}."
