"""The demo plan with every key that may stand in a plan, so that a test can reach each quantity.

Slurry comes in every way: met in the field, driven to by the outfit itself, by feeders, through a field container and
through a hose.  All that is added is invented, like the demo plan.
"""

from __future__ import annotations

import copy
import datetime as dt
import tomllib
from typing import Any

from plans.faulty import DEMO

__all__ = ["EVERYTHING", "FROM_FILE"]

_MORE: dict[str, dict[str, Any]] = {
    "field": {"headland": "22 m", "well_distance": "90 m", "plastic_limit": "21 %", "side_slope": "1 to 5 %"},
    "crop": {"phosphate_need": "60 kg P2O5/ha", "potash_need": "180 kg K2O/ha"},
    "slurry": {"delivery": "1.60 EUR/m3"},
    "weather": {"air_temperature": "12 +/- 3 degC", "wind": "3 +/- 1 m/s"},
    "band": {
        "soil_temperature": "11 +/- 1 degC",
        "target": [
            {"of": "gap", "least": "5 cm", "most": "7 cm", "source": "invented"},
            {"of": "clearance", "least": "6 cm", "source": "invented"},
            {"of": "top", "most": "13 cm", "source": "invented", "date": dt.date(2026, 1, 15)},
        ],
        "steering": {
            "slurry": "2.5 cm",
            "seed": "2.5 +/- 1 cm",
            "slurry_drift": "3 cm",
            "seed_drift": "2 cm",
            "shift": "0 +/- 1 cm",
            "harmless": "9.5 cm",
            "slurry_tow": "7 +/- 1 m",
            "seed_tow": "3 m",
        },
    },
    "layout": {
        "outline": "field.geojson",
        "heading": 12.0,
        "changes": "changes.csv",
        "header": "6 m",
        "guard_rows": 2,
        "tramline": "24 m",
        "spray_gauge": "1.8 m",
        "turning": "24 m",
        "ends": "10 m",
        "lane": "4 m",
        "side": "3 m",
        "obstacle": "3 m",
        "water": "10 m",
        "set_up": "60 m",
    },
    "design": {
        "kind": "split plots",
        "blocks": 6,
        "seed": 7,
        "apart": ["plough", "strip"],
        "variation": "6 +/- 2 %",
        "variation_within": "4 %",
        "field_variation": "4 %",
        "detect": "10 %",
        "chance": "10 %",
        "power": "80 %",
        "margin": "0.5 t/ha",
        "host_fields": 3,
        "plot_width": "18 m",
        "plot_length": "250 m",
        "factor": [{"name": "nitrogen", "labels": ["less", "full"], "within": True}],
    },
    "farm": {
        "late_loss": "0.5 %",
        "crop_price": "140 EUR/t",
        "fit_moisture": "85 +/- 5 %",
        "fit_moisture_of": "plastic limit",
    },
}
_READING = {"measured_draft": "29 +/- 3 kN", "measured_depth": "23 cm", "measured_speed": "7 km/h"}
_TANKER = {"kind": "slurry tanker", "mass": "8 t", "tank": "14 m3", "price": "80000 EUR"}
_KEPT = {"years": "10 year", "hours": "450 h/year"}
_CONTAINER = {
    "name": "container",
    "way": "field container",
    "vehicles": 2,
    "tractor": "tractor 160",
    "machine": "feeder tanker, 24 m3",
    "filling": "6 m3/min",
    "transfer": "7 m3/min",
    "container": "60 m3",
    "rate": "12 EUR/h",
}


def _everything() -> dict[str, Any]:
    plan = tomllib.loads(DEMO)
    for table, keys in _MORE.items():
        plan.setdefault(table, {}).update(keys)
    for key in ("file", "start", "hours"):
        del plan["weather"][key]
    plan["tractor"][1]["engine_power"] = plan["tractor"][1].pop("power")
    tyres = {"tyre_width": "54 cm", "tyre_diameter": "170 cm", "pressure": "100 +/- 10 kPa", "gauge": "1.9 m"}
    plan["tractor"][0]["wheels"] = [
        {"axle": "front", "share": "40 %", **tyres},
        {"axle": "rear", "share": "60 %", "count": 4, "apart": "60 cm", **tyres},
    ]
    plan["tractor"][0] |= {
        "wheelbase": "2.6 m",
        "hitch_height": "48 cm",
        "hitch_overhang": "85 cm",
        "load_shift": "by pull",
    }
    plan["tractor"][1]["load_shift"] = "none"
    plan["machine"][0] |= {"overlap": "3 cm", "turn": "25 s", **_READING}
    plan["machine"] += [
        {
            "name": "tanker, met",
            "refill": "6 +/- 2 min",
            "wheels": [{"axle": "rear", "share": "88 %", "count": 4, "apart": "70 cm", **tyres}],
            **_TANKER,
            **_KEPT,
        },
        {"name": "tanker, driving", "filling": "5 m3/min", **_TANKER, **_KEPT},
    ]
    plan["supply"].append(_CONTAINER)
    plan["contractor"][0] |= {"tax": "with", "tax_rate": "19 %"}
    plough, cultivator, strip, injector = plan["system"]
    plough["pass"][1]["measured_fuel"] = "21 L/ha"
    for system, supply, machines in (
        (cultivator, None, ["tanker, met", "hose boom, 15 m"]),
        (strip, "hose line", ["strip tiller, 8 rows"]),
        (injector, "container", ["tanker, 16 m3", "mixing injector, 5 m"]),
    ):
        system["pass"][0] |= {"supply": supply, "machines": machines}
    del cultivator["pass"][0]["supply"]
    driving = copy.deepcopy(cultivator) | {"name": "cultivator, driving"}
    driving["pass"][0] |= {"machines": ["tanker, driving", "hose boom, 15 m"], "measured_fuel": "24 L/h"}
    plan["system"].append(driving)
    return plan


EVERYTHING = _everything()
"""The plan as data, with a typical hour of spreading."""

_NEED = {
    "by": "target value, Germany",
    "target": "195 kg N/ha",
    "nmin": "55 +/- 15 kg N/ha",
    "yields": ["47 t/ha", "50 t/ha", "31 t/ha"],
    "replaced": [3],
    "humus_rich": True,
    "preceding_crop": "rape or legume",
    "catch_crop": "catch crop spring",
    "last_year_organic": "110 kg N/ha",
}
_LOAD = {
    "store": "pit",
    "load": "1",
    "volume": "60 m3",
    "sampled": "20 m3",
    "density": "1.03 t/m3",
    "dry_matter": "7 %",
    "total_n": "3.5 kg N/t",
    "ammoniacal_n": "1.9 kg NH4-N/t",
    "phosphorus": "1.4 kg P2O5/t",
    "potassium": "3.8 kg K2O/t",
    "ph": 7.4,
}
_SINGLE = ("basis", "dry_matter", "total_n", "ammoniacal_n", "phosphorus", "potassium", "ph", "analysed")
_FROM_LOADS = {key: value for key, value in EVERYTHING["slurry"].items() if key not in _SINGLE} | {
    "analysis": [_LOAD, {key: value for key, value in _LOAD.items() if key != "density"} | {"load": "2"}]
}

FROM_FILE = EVERYTHING | {
    "slurry": _FROM_LOADS,
    "weather": tomllib.loads(DEMO)["weather"] | {"max_gap": "2 h"},
    "crop": {key: value for key, value in EVERYTHING["crop"].items() if key != "n_need"} | {"need": _NEED},
}
"""The same with a file of hours, with the slurry analysed load by load, and with the need of nitrogen worked out; a plan has one or the other."""
