"""The estimate as JSON: figures of every system, passes, differences, notes, and how the main figures came about."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from spadework import __version__
from spadework.estimate import SHARE_PRINTED, Estimate
from spadework.estimate.chain import ONE_A_SYSTEM
from spadework.estimate.workings.explain import lines_of
from spadework.present.in_short import in_short
from spadework.present.wording import MAIN, STANDING, difference, spread_of

__all__ = ["estimate_data", "estimate_json"]


def estimate_json(estimate: Estimate) -> str:
    """Return the estimate as JSON text; the same estimate gives the same text.

    Shares are fractions, with the unit ``1``.  Intervals hold ``interval_share`` of the draws.  ``workings`` holds, for
    each system, every figure behind the main figures once; ``inputs`` leads from one to the next.
    """
    return json.dumps(estimate_data(estimate), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def estimate_data(estimate: Estimate) -> dict[str, Any]:
    """Return what :func:`estimate_json` writes, as plain dictionaries and lists."""
    plan = estimate.plan
    systems = range(len(estimate.systems))
    return {
        "standing": STANDING,
        "spadework": __version__,
        "question": plan.question,
        "invented": plan.invented,
        "field": plan.field.name,
        "baseline": plan.baseline,
        "draws": estimate.draws,
        "seed": estimate.seed,
        "interval_share": SHARE_PRINTED,
        "terms": plan.slurry.terms,
        "prices": {"currency": plan.prices.currency, "date": plan.prices.date.isoformat(), "tax": plan.prices.tax},
        "weather": {
            "start": estimate.weather.start.isoformat() if estimate.weather.start else None,
            "air_temperature_degc": list(estimate.weather.air_temperature_degc),
            "wind_m_s": list(estimate.weather.wind_m_s),
            "rain_mm_h": list(estimate.weather.rain_mm_h),
            "filled_hours": estimate.weather.filled_hours,
            "came_from": estimate.weather.came_from,
        },
        "in_short": [f"{lead} {said}" for lead, said in in_short(estimate)],
        "systems": [_system(estimate, s) for s in systems],
        "differences": [_differences(estimate, s) for s in systems if s != estimate.baseline],
        "notes": list(estimate.notes),
        "main_figures": [main.name for main in MAIN],
        "workings": {estimate.systems[s]: _workings(estimate, s) for s in systems},
        "tables": [{"name": name, "vintage": vintage} for name, vintage in _tables(estimate)],
    }


def _system(estimate: Estimate, system: int) -> dict[str, Any]:
    about = estimate.plan.systems[system]
    figures = {
        name: _spread(estimate, name, system, 0)
        for name, figure in sorted(estimate.sheet.figures.items())
        if (not figure.over or figure.over in ONE_A_SYSTEM) and estimate.has(name, system)
    }
    return {"name": about.name, "about": about.about, "figures": figures, "passes": _passes(estimate, system)}


def _passes(estimate: Estimate, system: int) -> list[dict[str, Any]]:
    names = sorted(name for name, figure in estimate.sheet.figures.items() if figure.over == "pass")
    return [
        {
            "number": number + 1,
            "tractor": done.tractor,
            "machines": list(done.machines),
            "places": list(done.places),
            "figures": {name: _spread(estimate, name, system, number) for name in names},
        }
        for number, done in enumerate(estimate.plan.systems[system].passes)
    ]


def _spread(estimate: Estimate, name: str, system: int, row: int) -> dict[str, Any]:
    figure = estimate.sheet.figures[name]
    unit = figure.unit.replace("EUR", estimate.plan.prices.currency)
    return {"label": figure.label, "unit": unit, **asdict(estimate.rows(name, system)[row])}


def _differences(estimate: Estimate, system: int) -> dict[str, Any]:
    figures = {}
    for main in MAIN:
        values = difference(estimate, main.name, system)
        if values is None:
            continue
        figures[main.name] = {
            **asdict(spread_of(values)),
            "unit": estimate.sheet.figures[main.name].unit.replace("EUR", estimate.plan.prices.currency),
            "share_of_draws_below": float((values < 0).mean()),
            "share_of_draws_above": float((values > 0).mean()),
        }
    return {
        "system": estimate.systems[system],
        "less": estimate.plan.baseline,
        "figures": dict(sorted(figures.items())),
    }


def _workings(estimate: Estimate, system: int) -> dict[str, Any]:
    names: dict[str, None] = {}
    for main in MAIN:
        if estimate.has(main.name, system):
            names.update(dict.fromkeys(figure.name for figure in estimate.sheet.behind(main.name)))
    return {name: [asdict(line) for line in lines_of(estimate, name, system)] for name in sorted(names)}


def _tables(estimate: Estimate) -> list[tuple[str, str]]:
    return sorted({(citation.table, citation.vintage) for citation in estimate.sheet.citations()})
