"""The workings in a report: every figure of every system once, each leading to what it was made from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from spadework.estimate import Estimate
from spadework.estimate.workings.explain import Line, lines_of
from spadework.present.document.blocks import Beside, anchor
from spadework.present.wording import MAIN

__all__ = ["Chapter", "Step", "Trail", "shared_trail", "system_chapters", "trail_of"]

_PARTS: Final = (("given", "Given"), ("table", "From the tables"), ("worked", "Worked"))


@dataclass(frozen=True)
class Step:
    """One figure: how it came about, a line for each of its rows, and the figures that it was made from."""

    anchor: str
    name: str
    label: str
    lines: tuple[Line, ...]
    inputs: tuple[tuple[str, str], ...]

    @property
    def kind(self) -> str:
        """Whether the plan gives it, tables hold it, or it was worked out."""
        return self.lines[0].kind

    @property
    def formula(self) -> str:
        """The formula, where all rows have the same; else each row shows its own."""
        found = {line.formula for line in self.lines}
        return found.pop() if len(found) == 1 else ""

    @property
    def source(self) -> str:
        """The source, where all rows have the same."""
        found = {line.source for line in self.lines}
        return found.pop() if len(found) == 1 else ""

    @property
    def where(self) -> str:
        """Module and function, or table."""
        found = {line.where for line in self.lines}
        return found.pop() if len(found) == 1 else ""


@dataclass(frozen=True)
class Trail:
    """One main figure of one system and the figures behind it that no trail before has shown.

    `steps` stand in the order in which they are worked, each after what it was made from.
    """

    title: str
    result: str
    steps: tuple[Step, ...]

    @property
    def parts(self) -> tuple[tuple[str, tuple[Step, ...]], ...]:
        """What is given, what is from the tables and what is worked, each under its title; empty ones left out."""
        found = ((title, tuple(s for s in self.steps if s.kind == kind)) for kind, title in _PARTS)
        return tuple((title, steps) for title, steps in found if steps)


@dataclass(frozen=True)
class Chapter:
    """All trails of one system."""

    system: str
    trails: tuple[Trail, ...]


def system_chapters(estimate: Estimate, beside: Sequence[Beside] = ()) -> tuple[Chapter, ...]:
    """Return the trails of every system, those of further worksheets last; what all share is left to :func:`shared_trail`."""
    return tuple(
        Chapter(name, (*_trails(estimate, s), *_trails_beside(estimate, beside, s)))
        for s, name in enumerate(estimate.systems)
    )


def shared_trail(estimate: Estimate, beside: Sequence[Beside] = ()) -> Trail:
    """Return the figures that are the same for every system."""
    steps = [_step(estimate, name, 0) for name in estimate.sheet.figures if estimate.is_shared(name)]
    for other in beside:
        names = other.behind(estimate)
        steps += [_step(other.estimate, name, 0) for name in names if other.estimate.is_shared(name)]
    return Trail("The same for every system", "", tuple(steps))


def trail_of(estimate: Estimate, name: str, system: int) -> tuple[Line, ...]:
    """Return the lines of a figure and of what it was made from, one step deep, for print."""
    lines = list(lines_of(estimate, name, system))
    for other in estimate.sheet.inputs(estimate.sheet.figures[name]):
        lines += lines_of(estimate, other, system)
    over = f"over {estimate.draws} draws"
    return tuple(
        replace(line, result=f"{line.result}; {over} {line.spread}") if line.spread else line for line in lines
    )


def _trails(estimate: Estimate, system: int) -> tuple[Trail, ...]:
    shown: set[str] = set()
    trails = []
    # The money leans on nearly everything, so it comes last: each figure then stands under what it is nearest to.
    for main in sorted(MAIN, key=lambda m: m.name in {"pass_cost", "cost"}):
        if not estimate.has(main.name, system) or main.name in shown:
            continue
        behind = [
            figure
            for figure in estimate.sheet.behind(main.name)
            if not estimate.is_shared(figure.name) and figure.name not in shown and estimate.has(figure.name, system)
        ]
        behind = [f for f in behind if f.name == main.name or all(f.name != other.name for other in MAIN)]
        shown.update(figure.name for figure in behind)
        steps = {figure.name: _step(estimate, figure.name, system) for figure in behind}
        head = steps[main.name].lines[0]
        ordered = tuple(steps[name] for name in estimate.sheet.figures if name in steps)
        trails.append(Trail(main.title, head.spread or head.result, ordered))
    beside = [
        f.name
        for f in estimate.sheet.figures.values()
        if not estimate.is_shared(f.name) and f.name not in shown and estimate.has(f.name, system)
    ]
    if beside:
        trails.append(
            Trail("Further figures of this system", "", tuple(_step(estimate, name, system) for name in beside))
        )
    return tuple(trails)


def _trails_beside(estimate: Estimate, beside: Sequence[Beside], system: int) -> Iterator[Trail]:
    for other in beside:
        held = other.estimate
        names = [n for n in other.behind(estimate) if not held.is_shared(n) and held.has(n, system)]
        if names:
            yield Trail(other.title, "", tuple(_step(held, name, system) for name in names))


def _step(estimate: Estimate, name: str, system: int) -> Step:
    sheet = estimate.sheet
    figure = sheet.figures[name]
    inputs = tuple(
        (other, anchor(other, None if estimate.is_shared(other) else system))
        for other in sheet.inputs(figure)
        if estimate.has(other, system)
    )
    lines = tuple(
        replace(line, label=line.label.removeprefix(f"{figure.label}, ")) for line in lines_of(estimate, name, system)
    )
    return Step(anchor(name, None if estimate.is_shared(name) else system), name, figure.label, lines, inputs)
