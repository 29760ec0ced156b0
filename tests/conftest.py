"""Fixtures of all tests; writes the rows of docs/checks.md."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

Check = Callable[..., None]
_rows: list[dict[str, object]] = []
_KINDS = ("published", "memory", "computed", "practice")

# How fast a machine is, is no property of the code; and whether all tests pass must not hang on the draw of the day.
_SLOW = [HealthCheck.too_slow]
settings.register_profile("same", deadline=None, suppress_health_check=_SLOW, derandomize=True)
settings.register_profile("search", deadline=None, suppress_health_check=_SLOW)  # new examples: `make search`
settings.load_profile("same")


@pytest.fixture
def check(request: pytest.FixtureRequest) -> Check:
    """Hold our number against one from outside and remember both."""

    def hold(
        what: str,
        source: str,
        theirs: float,
        ours: float,
        tolerance: float,
        *,
        unit: str = "",
        kind: str = "published",
        note: str = "",
    ) -> None:
        assert kind in _KINDS
        ours = float(ours)
        _rows.append(
            {
                "file": Path(str(request.node.fspath)).stem,
                "what": what,
                "source": source,
                "theirs": float(theirs),
                "ours": ours,
                "tolerance": tolerance,
                "unit": unit,
                "kind": kind,
                "note": note,
            }
        )
        assert math.isfinite(ours)
        assert abs(ours - theirs) <= tolerance * (1 + 1e-9), (
            f"{what}: theirs {theirs}, ours {ours}, tolerance {tolerance}"
        )

    return hold


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Write what this process checked; the first process gathers the rows of all."""
    config = session.config
    folder = Path(str(config.rootpath)) / ".pytest_cache" / "checks"
    worker = os.environ.get("PYTEST_XDIST_WORKER")
    if worker:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{worker}.json").write_text(json.dumps(_rows), "utf-8")
        return
    rows = list(_rows)
    if folder.is_dir():
        for path in sorted(folder.glob("*.json")):
            rows += json.loads(path.read_text("utf-8"))
            path.unlink()
    if rows and not config.getoption("keyword") and not config.getoption("markexpr") and _whole_run(config):
        from checks_page import write

        write(rows, Path(str(config.rootpath)) / "docs" / "checks.md")


def _whole_run(config: pytest.Config) -> bool:
    return not config.args or config.args == config.getini("testpaths")
