"""What stands beside a finding, in words: the drawing alone, another layout than declared, neighbours as alike."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from spadework.findings.compare_parts import ByShuffling, Difference, Finding, LaidOtherwise, TermTest
from spadework.present.compare.words import figure, p_text, places_of, unit_said
from spadework.present.document.blocks import Block, Cell, Grid, Text
from spadework.present.table import wrapped

__all__ = ["guard_blocks", "guard_lines"]

_NAME = 20
_DEALT: Final = "What the drawing alone bears out"
_DEALT_NOTE: Final = (
    "Chance: share of the layouts that could have been drawn in which the labels seem to differ as much or more; layouts that "
    "only exchange names count as one. No scatter is assumed. All dealt out: if no system did anything; where others than the "
    "two differ much, that counts as scatter here, and the chance is larger than that of the intervals. Only the two: the "
    "others stay where they lie. Each row is looked at alone. A chance under the smallest cannot come out, however large the "
    "difference; a smallest one of 0.05 or more means that so few layouts cannot tell."
)
_OTHERWISE: Final = "Another layout than declared?"
_SECOND: Final = "Second opinion: neighbours taken as alike"
_SECOND_NOTE: Final = (
    "In brackets standard errors. This shows how much the answer leans on how the ground is taken to lie; it is a sensitivity "
    "and no finding. The finding stays that of the layout that was declared."
)
_SHORT: Final = {
    "neighbours alike": ("alike", "alike: the nearer two plots lie, the more alike they are taken to be"),
    "neighbours alike, each plot with a part of its own": (
        "and its own",
        "and its own: the same, and each plot has a part of its own",
    ),
    "the same with the layout's terms": ("and layout", "and layout: the same with the blocks or strips of the layout"),
}


def guard_lines(found: Finding) -> Iterator[str]:
    """Yield what stands beside a finding as lines of text; nothing where there is nothing.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.
    """
    if found.shuffling is not None:
        yield from ("", _DEALT)
        rows = _dealt(found)
        if rows:
            yield f"    {'':<30}{'all dealt out':>32}{'only the two change':>32}"
            yield f"    {'':<30}" + 2 * f"{'chance':>9}{'smallest':>10}{'layouts':>13}"
            for what, *cells in rows:
                wide = zip(cells, 2 * (9, 10, 13), strict=True)
                yield f"    {_cut(what, 29):<30}" + "".join(f"{cell:>{width}}" for cell, width in wide)
            yield from wrapped(_DEALT_NOTE, "    ")
        for text in found.shuffling.told:
            yield from wrapped(_capital(text), "  ", "- ")
    if found.otherwise is not None:
        one = found.otherwise
        yield from ("", _OTHERWISE)
        yield from wrapped(_lies(one), "  ")
        if one.tests:
            yield f"    {'':<32}{one.declared:>26}{one.lies:>26}"
            yield f"    {'term':<32}" + 2 * f"{'F':>8}{'df rest':>9}{'chance':>9}"
            for what, *cells in _both_tests(found, one):
                yield f"    {_cut(what, 31):<32}" + "".join(
                    f"{c:>{w}}" for c, w in zip(cells, 2 * (8, 9, 9), strict=True)
                )
        for line in _both_differences(found, one):
            yield from wrapped(line, "  ", "- ")
        yield from wrapped(_stays(one), "  ")
    if found.second is not None:
        yield from ("", f"{_SECOND}{_apart(found)}")
        head, rows = _opinions(found)
        if rows:
            yield "    " + f"{head[0]:<{_NAME}}" + "".join(f"{text:>18}" for text in head[1:])
            yield from (
                "    " + f"{_cut(row[0], _NAME - 1):<{_NAME}}" + "".join(f"{t:>18}" for t in row[1:]) for row in rows
            )
        for text in _second_said(found):
            yield from wrapped(text, "    ")


def guard_blocks(found: Finding) -> list[Block]:
    """Return what stands beside a finding as blocks of a page.

    Parameters
    ----------
    found : Finding
        From :func:`spadework.findings.compare.compare`.
    """
    out: list[Block] = []
    if found.shuffling is not None:
        rows = tuple(tuple(Cell(text) for text in row) for row in _dealt(found))
        if rows:
            each = ("chance", "smallest", "layouts")
            head = ("", *(f"{way}: {what}" for way in ("all dealt out", "only the two") for what in each))
            out.append(Grid(_DEALT, head, rows, note=_DEALT_NOTE))
        else:
            out.append(Text(_DEALT, "title"))
        out += [Text(_capital(text)) for text in found.shuffling.told]
    if found.otherwise is not None:
        one = found.otherwise
        out += [Text(_OTHERWISE, "title"), Text(_lies(one), "warning")]
        if one.tests:
            head = (
                "term",
                *(f"{kind}: {what}" for kind in (one.declared, one.lies) for what in ("F", "of the rest", "chance")),
            )
            out.append(
                Grid(
                    "Tests of the terms under both",
                    head,
                    tuple(tuple(Cell(text) for text in row) for row in _both_tests(found, one)),
                    note="Of the rest: degrees of freedom of the error.",
                )
            )
        out += [Text(line) for line in (*_both_differences(found, one), _stays(one))]
    if found.second is not None:
        head_row, lines = _opinions(found)
        if lines:
            table = tuple(tuple(Cell(text) for text in row) for row in lines)
            out.append(Grid(f"{_SECOND}{_apart(found)}", head_row, table, note=_SECOND_NOTE))
        else:
            out.append(Text(_SECOND, "title"))
        out += [Text(text, "small") for text in _second_said(found) if text != _SECOND_NOTE]
    return out


def _dealt(found: Finding) -> list[tuple[str, ...]]:
    if found.shuffling is None:
        return []

    def cells(one: ByShuffling | None) -> tuple[str, str, str]:
        if one is None:
            return "-", "-", "-"
        return p_text(one.p), p_text(one.smallest), f"all {one.layouts}" if one.exact else f"{one.layouts} drawn"

    terms = [(f"{one.of}, all together", *cells(one), *cells(None)) for one in found.shuffling.terms]
    own = [(f"{one.of} - {found.baseline}", *cells(one), *cells(one.alone)) for one in found.shuffling.differences]
    return [*terms, *own]


def _lies(one: LaidOtherwise) -> str:
    return (
        f"The plan declares {one.declared}, but {one.why}. So they lie as {one.lies} would, and what lies in strips or whole "
        "plots must be held against how those scatter. Look which is right, the plan or the file."
    )


def _stays(one: LaidOtherwise) -> str:
    if not one.tests:
        return f"These readings cannot be judged as {one.lies}, so there is no second result."
    return (
        f"The finding above stays that of {one.declared}, as declared, and so do the chances by dealing out, until the plan says "
        "otherwise."
    )


def _both_tests(found: Finding, one: LaidOtherwise) -> list[tuple[str, ...]]:
    def said(test: TermTest | None) -> tuple[str, str, str]:
        return ("-", "-", "-") if test is None else (f"{test.f:.2f}", f"{test.df_rest:.3g}", p_text(test.p))

    other = {test.term: test for test in one.tests}
    return [(" with ".join(test.term), *said(test), *said(other.get(test.term))) for test in found.tests]


def _both_differences(found: Finding, one: LaidOtherwise) -> Iterator[str]:
    places, unit = places_of(found), unit_said(found.unit, apart=True)

    def said(d: Difference) -> str:
        low, high = (figure(edge, places, sign=True) for edge in (d.low, d.high))
        return f"{figure(d.difference, places, sign=True)} ({low} to {high})"

    for own, other in zip(found.differences, one.differences, strict=False):
        if said(own) == said(other):
            yield f"{_capital(own.system)}: {said(own)}{unit} from {found.baseline} under both."
        else:
            yield (
                f"{_capital(own.system)}: {said(own)}{unit} from {found.baseline} as {one.declared}, {said(other)} as {one.lies}."
            )


def _opinions(found: Finding) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    if found.second is None or not found.second.opinions:
        return (), []
    places = places_of(found)
    head = ("system", "this finding", *(_SHORT[one.name][0] for one in found.second.opinions))
    rows = []
    for at, own in enumerate(found.differences):
        pairs = [(own.difference, own.se), *((one.differences[at], one.se[at]) for one in found.second.opinions)]
        rows.append((own.system, *(f"{figure(d, places, sign=True)} ({figure(se, places)})" for d, se in pairs)))
    return head, rows


def _second_said(found: Finding) -> Iterator[str]:
    if found.second is None:
        return
    if found.second.opinions:
        yield _capital("; ".join(_SHORT[one.name][1] for one in found.second.opinions)) + "."
    said = found.second.sentence
    for name, (short, _) in _SHORT.items():
        said = said.replace(f'"{name}"', f'"{short}"')
    yield said
    for one in found.second.opinions:
        if one.notes:
            yield f"{_capital(_SHORT[one.name][0])}: {'; '.join(one.notes)}."
    yield _SECOND_NOTE


def _apart(found: Finding) -> str:
    unit = unit_said(found.unit, apart=True).strip()
    return f" (differences from {found.baseline}{', ' if unit else ''}{unit})"


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _cut(name: str, most: int) -> str:
    return name if len(name) <= most else name[: most - 2] + ".."
