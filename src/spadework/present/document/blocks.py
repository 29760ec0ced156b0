"""What a report is made of, before it becomes a page or a print: sections of text, tables and drawings."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from spadework.estimate.result import Estimate

__all__ = ["Beside", "Block", "Cell", "Drawing", "Grid", "Items", "Report", "Section", "Text", "anchor"]


@dataclass(frozen=True, slots=True)
class Cell:
    """Text in a table; `link` is the anchor of its working, `mark` sets it off (``lead``, ``warning`` or nothing)."""

    text: str
    link: str = ""
    mark: Literal["", "lead", "warning"] = ""

    @property
    def shown(self) -> str:
        r"""The text with every range kept on one line.

        Examples
        --------
        >>> Cell("8.0 (6.5 to 9.7)").shown
        '8.0 (6.5\xa0to\xa09.7)'
        """
        return re.sub(r"\((\S+) to (\S+)\)", "(\\1\N{NO-BREAK SPACE}to\N{NO-BREAK SPACE}\\2)", self.text)


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; ``title`` is a heading within a section."""

    text: str
    kind: Literal["plain", "small", "warning", "title"] = "plain"


@dataclass(frozen=True, slots=True)
class Items:
    """A list of sentences, each with words that lead it in (may be empty)."""

    items: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """A table.

    Attributes
    ----------
    caption : str
        Says what the table shows.
    head : tuple of str
        Of the columns; the first column names the rows.
    rows : tuple of tuple of Cell
        Each as long as `head`.
    widths : tuple of float
        Relative widths of the columns, for print.
    prose : bool
        True where cells hold sentences rather than figures.
    note : str
        Beneath the table.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[float, ...] = ()
    prose: bool = False
    note: str = ""

    def __post_init__(self) -> None:
        if any(len(row) != len(self.head) for row in self.rows):
            raise ValueError(f'a row of "{self.caption}" has not {len(self.head)} cells')


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing as SVG with a text alternative; `name` is short and unique in the report."""

    name: str
    svg: str
    alt: str

    @property
    def width(self) -> float:
        """Width in units of the drawing.

        Examples
        --------
        >>> bars = Drawing("bars", '<svg class="marks" viewBox="0 0 640 320">', "Bars.")
        >>> bars.width, bars.height
        (640.0, 320.0)
        """
        return self._size[0]

    @property
    def height(self) -> float:
        """Height in the same units."""
        return self._size[1]

    @property
    def _size(self) -> tuple[float, float]:
        box = re.search(r'<svg\b[^>]*\sviewBox="\S+\s+\S+\s+([\d.]+)\s+([\d.]+)"', self.svg)
        if box is None:
            raise ValueError(f'the drawing "{self.name}" does not say how large it is')
        return float(box[1]), float(box[2])


Block = Text | Items | Grid | Drawing


@dataclass(frozen=True)
class Section:
    """A part of the report under a title that is what a person wants to know."""

    key: str
    title: str
    blocks: Sequence[Block] = field(default_factory=tuple)


def anchor(name: str, system: int | None) -> str:
    """Return the anchor of the working of a figure; without a system, of one that is the same for all.

    Examples
    --------
    >>> anchor("fuel", 2), anchor("dose", None)
    ('w-2-fuel', 'w-all-dose')
    """
    return f"w-{'all' if system is None else system}-{name}"


@dataclass(frozen=True)
class Beside:
    """Figures that stand on a worksheet which goes on from that of the estimate.

    Attributes
    ----------
    title : str
        What they are about.
    estimate : Estimate
        The estimate with that worksheet in place of its own.
    names : tuple of str
        The figures that are printed.
    """

    title: str
    estimate: Estimate
    names: tuple[str, ...]

    def behind(self, before: Estimate) -> tuple[str, ...]:
        """Return the printed figures and those behind them that the estimate itself does not hold, in order."""
        found = {figure.name for name in self.names for figure in self.estimate.sheet.behind(name)}
        return tuple(name for name in self.estimate.sheet.figures if name in found and name not in before.sheet.figures)


@dataclass(frozen=True)
class Report:
    """What page and print show alike.

    Attributes
    ----------
    question, place, standing : str
        For the head.
    invented : bool
        True where the plan says that it is made up.
    facts : tuple of str
        Prices, draws, seed, version.
    sections : tuple of Section
        In the order in which they are read.
    beside : tuple of Beside
        Figures of further worksheets whose workings stand with those of the estimate.
    """

    question: str
    place: str
    standing: str
    invented: bool
    facts: tuple[str, ...]
    sections: tuple[Section, ...]
    beside: tuple[Beside, ...] = ()
