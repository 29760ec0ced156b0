"""Writes docs/checks.md: what was held against the outside world, their value, ours, the deviation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

KINDS = {
    "published": "printed in a source that was read",
    "memory": "recalled from the named source, not re-read",
    "computed": "computed once, apart from our code, from the same equation: holds the programming, not the physics",
    "practice": "common practice, no source",
}
_HEAD = """# Checks against the outside world

Written by the test run; do not edit.  Each row is one test that fails when our number leaves the tolerance.
Where a deviation is larger than its tolerance, source and model disagree; the test says why, and fails if they come to agree.

The kinds of value: {kinds}.

"""


def write(rows: Iterable[Mapping[str, Any]], path: Path) -> None:
    """Write the page, sorted so that the same checks give the same page."""
    unique = {(r["file"], r["what"], r["source"], r["theirs"], r["kind"]): r for r in rows}
    lines = [_HEAD.format(kinds="; ".join(f"*{k}*: {v}" for k, v in KINDS.items()))]
    file = None
    for key in sorted(unique):
        row = unique[key]
        if row["file"] != file:
            file = row["file"]
            lines.append(f"\n## {str(file).removeprefix('test_').replace('_', ' ').capitalize()}\n\n")
            lines.append("| what | source | kind | theirs | ours | deviation | tolerance | unit |\n")
            lines.append("|---|---|---|---:|---:|---:|---:|---|\n")
        deviation = row["ours"] - row["theirs"]
        what = row["what"] + (f" ({row['note']})" if row["note"] else "")
        cells = [what, row["source"], row["kind"], _n(row["theirs"]), _n(row["ours"]), _n(deviation, 2)]
        cells += [_n(row["tolerance"], 2), row["unit"]]
        lines.append("| " + " | ".join(str(c).replace("|", "\\|") for c in cells) + " |\n")
    counts = ", ".join(f"{sum(r['kind'] == k for r in unique.values())} {k}" for k in KINDS)
    lines.append(f"\n{len(unique)} checks: {counts}.\n")
    path.write_text("".join(lines), "utf-8")


def _n(value: float, digits: int = 6) -> str:
    if abs(value) < 1e-9:
        return "0"
    return f"{value:.{digits}g}"
