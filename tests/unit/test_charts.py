"""Charts: valid specifications, drawn without a network, the same bytes every time, every figure with its interval."""

from __future__ import annotations

import copy
import html
import json
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest

from spadework.present import tone
from spadework.present.charts.nitrogen import flow_chart, gases_chart
from spadework.present.charts.spec import _chart, cost_parts_chart, differences_chart, to_pdf, to_svg
from spadework.present.face.drawing import Face, soil_face

# Invented figures.
PARTS = [
    {"system": system, "part": part, "mid": mid}
    for system, figures in {
        "plough behind a trailing hose": {"machines": 54.0, "labour": 22.0, "diesel": 39.0},
        "strip with band": {"machines": 40.0, "labour": 14.0, "diesel": 26.0, "nitrogen saved": -12.0},
    }.items()
    for part, mid in figures.items()
]
TOTALS = [
    {"system": "plough behind a trailing hose", "mid": 115.0, "low": 98.0, "high": 131.0},
    {"system": "strip with band", "mid": 68.0, "low": 55.0, "high": 83.0},
]
FLOW = [
    {"system": system, "bar": bar, "part": part, "mid": mid}
    for system, lost in {"plough": 19.0, "strip": 6.0}.items()
    for bar, part, mid in (("in", "lost", lost), ("in", "kept", 76.0 - lost), ("out", "replaces", 70.0 - lost))
]
GASES = [
    {"system": system, "part": part, "mid": mid}
    for system in ("plough behind a trailing hose", "strip with band")
    for part, mid in (("diesel", 120.0), ("soil", 500.0))
]
DIFFERENCES = [
    {"system": "cultivator", "mid": -39.0, "low": -61.0, "high": -12.0, "chance": "cheaper in 96 % of draws"},
    {"system": "no tillage", "mid": 4.0, "low": -11.0, "high": 22.0, "chance": "cheaper in 35 % of draws"},
]


def specs() -> dict[str, dict[str, Any]]:
    return {
        "cost": cost_parts_chart(PARTS, TOTALS),
        "flow": flow_chart(FLOW),
        "gases": gases_chart(TOTALS, GASES, [{**row, "high": 900.0} for row in TOTALS]),
        "differences": differences_chart(DIFFERENCES, "EUR/ha", "plough"),
    }


def words(svg: str) -> list[str]:
    root = ET.fromstring(svg)  # noqa: S314
    return ["".join(element.itertext()) for element in root.iter() if element.tag.endswith(("}text", "}tspan"))]


@pytest.mark.parametrize("name", ["cost", "flow", "gases", "differences"])
def test_a_chart_is_drawn_offline_and_always_the_same(name: str) -> None:
    spec = specs()[name]
    assert json.loads(json.dumps(spec)) == spec
    svg = to_svg(spec)
    assert svg == to_svg(specs()[name])
    outside = re.findall(r'(?:href|src)="(?!#)[^"]+"', svg)
    assert outside == []
    assert "url(http" not in svg
    width = float(re.search(r'width="([\d.]+)"', svg).group(1))  # type: ignore[union-attr]
    assert 600 <= width <= 660
    assert "estimated" in " ".join(words(svg))
    assert spec["description"]
    assert set(re.findall(r'font-family="([^"]+)"', svg)) == {tone.FONTS}


def test_cost_bars_end_at_the_sum_of_their_parts() -> None:
    spec = cost_parts_chart(PARTS, TOTALS)
    segments = spec["layer"][0]["data"]["values"]
    plough = [s for s in segments if s["system"].startswith("plough")]
    assert [(s["start"], s["end"]) for s in plough] == [(0, 54), (54, 76), (76, 115)]
    strip = {s["part"]: (s["start"], s["end"]) for s in segments if s["system"].startswith("strip")}
    assert strip["diesel"] == (54, 80)
    assert strip["nitrogen saved"] == (0, -12)


def test_cost_bars_lie_to_scale_in_the_drawing() -> None:
    svg = html.unescape(to_svg(cost_parts_chart(PARTS, TOTALS)))
    bars = re.findall(
        r'aria-label="([^"]*)" role="graphics-symbol" aria-roledescription="bar"[^>]* d="M([\d.-]+),[\d.-]+h([\d.]+)',
        svg,
    )
    wide = {
        (label.split("system: ")[1].split(";")[0], label.split("name: ")[1].split(";")[0]): float(w)
        for label, _, w in bars
    }
    assert len(wide) == len(PARTS)
    per_unit = wide["plough behind a trailing hose", "1 machines"] / 54.0
    for row in PARTS:
        (found,) = [
            w for (system, name), w in wide.items() if system == row["system"] and name.endswith(str(row["part"]))
        ]
        assert found / per_unit == pytest.approx(abs(float(str(row["mid"]))), rel=1e-3)


def test_parts_carry_numbers_and_totals_their_interval() -> None:
    said = words(to_svg(cost_parts_chart(PARTS, TOTALS)))
    for text in ("1 machines", "4 nitrogen saved", "1: 54", "total 115 EUR/ha (98 to 131)", "EUR/ha"):
        assert text in said


def test_systems_stay_in_the_order_of_the_plan() -> None:
    back = list(reversed(DIFFERENCES))
    spec = differences_chart(back, "EUR/ha", "plough")
    assert spec["layer"][2]["encoding"]["y"]["sort"] == ["no tillage", "cultivator"]
    said = words(to_svg(spec))
    assert said.index("no tillage") < said.index("cultivator")


def test_differences_say_sign_interval_and_chance() -> None:
    said = " ".join(words(to_svg(differences_chart(DIFFERENCES, "EUR/ha", "plough"))))
    assert "−39 EUR/ha (−61 to −12)" in said
    assert "+4 EUR/ha (−11 to +22)" in said
    assert "cheaper in 96 % of draws" in said
    assert "EUR/ha, more (+) or less (−) than plough" in said
    assert "-" not in re.sub(r"[^0-9+−-]", "", said)


def test_zero_is_always_in_sight() -> None:
    for mid in (-40.0, 40.0):
        rows = [{"system": "a", "mid": mid, "low": mid - 1, "high": mid + 1}]
        low, high = domain(differences_chart(rows, "L/ha", "b"))
        assert low < 0 < high


def domain(spec: dict[str, Any]) -> tuple[float, float]:
    (found,) = {
        tuple(layer["encoding"]["x"]["scale"]["domain"]) for layer in spec["layer"] if "scale" in layer["encoding"]["x"]
    }
    return found


def test_small_figures_keep_their_digits() -> None:
    rows = [{"system": "a", "mid": 0.031, "low": 0.02, "high": 0.05}]
    assert "+0.031 ha/h (+0.020 to +0.050)" in words(to_svg(differences_chart(rows, "ha/h", "b")))


def test_the_flow_has_a_block_per_system_and_one_scale() -> None:
    spec = flow_chart(FLOW)
    assert [block["title"]["text"] for block in spec["vconcat"]] == ["plough", "strip"]
    domains = {
        tuple(layer["encoding"]["x"]["scale"]["domain"])
        for block in spec["vconcat"]
        for layer in block["layer"]
        if "scale" in layer["encoding"].get("x", {})
    }
    assert domains == {(0, 76.0)}
    assert {"1: 19", "2: 57", "3: 51", "1 lost", "2 kept"} <= set(words(to_svg(spec)))


def test_names_from_the_plan_cannot_break_the_drawing() -> None:
    name = "he said \"x'); alert(1)//\\ </svg>\u2028 & ü"
    rows = copy.deepcopy(DIFFERENCES)
    rows[0]["system"] = name
    said = " ".join(words(to_svg(differences_chart(rows, name, name))))
    assert "alert(1)/// </svg>" in said
    assert to_svg(cost_parts_chart([{**PARTS[0], "system": name, "part": name}], [{**TOTALS[0], "system": name}], name))
    assert to_svg(flow_chart([{**FLOW[0], "system": name}], name))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"mid": float("nan")}, "is nan"),
        ({"low": 5.0, "mid": 4.0}, "low, mid, high"),
        ({"system": "no tillage"}, "comes twice"),
    ],
)
def test_faults_are_told(change: dict[str, Any], message: str) -> None:
    rows = copy.deepcopy(DIFFERENCES)
    rows[0].update(change)
    with pytest.raises(ValueError, match=message):
        differences_chart(rows, "EUR/ha", "plough")


def test_more_faults_are_told() -> None:
    with pytest.raises(ValueError, match="nothing to show"):
        differences_chart([], "EUR/ha", "plough")
    with pytest.raises(ValueError, match="no `low`"):
        differences_chart([{"system": "a", "mid": 1.0}], "EUR/ha", "plough")
    with pytest.raises(ValueError, match="same systems"):
        cost_parts_chart(PARTS, TOTALS[:1])
    many = [{"system": "a", "part": f"part {i}", "mid": 1.0} for i in range(10)]
    with pytest.raises(ValueError, match="too many"):
        cost_parts_chart(many, [{"system": "a", "mid": 10.0, "low": 8.0, "high": 11.0}])
    for wrong in (-1.0, float("nan")):
        with pytest.raises(ValueError, match="`mid` of a"):
            flow_chart([{"system": "a", "bar": "in", "part": "lost", "mid": wrong}])
    with pytest.raises(ValueError, match="nothing to show"):
        flow_chart([])


def test_a_row_of_nothing_is_still_a_chart() -> None:
    none = {"mid": 0.0, "low": 0.0, "high": 0.0}
    assert to_svg(differences_chart([{"system": "a", **none}], "EUR/ha", "b")).startswith("<svg")
    assert to_svg(cost_parts_chart([{"system": "a", "part": "p", "mid": 0.0}], [{"system": "a", **none}])).startswith(
        "<svg"
    )
    assert to_svg(flow_chart([{"system": "a", "bar": "in", "part": "lost", "mid": 0.0}])).startswith("<svg")


def test_drawings_become_pages_with_type_embedded() -> None:
    for svg in (to_svg(specs()["cost"]), soil_face(Face("No tillage", "planter", 75.0))):
        pdf = to_pdf(svg)
        assert pdf.startswith(b"%PDF-")
        assert b"LiberationSans" in pdf


def test_charts_made_the_quick_way_are_those_of_the_library() -> None:
    import altair as alt

    rows = [
        {"x": 1.0, "low": 0.5, "high": 2.0, "system": "plough"},
        {"x": 2.0, "low": 1.0, "high": 3.0, "system": "strip"},
    ]

    def layered(base: Any) -> dict[str, Any]:
        line = base.mark_rule(color="black").encode(y="system:N", x="low:Q", x2="high:Q")
        dots = base.mark_point(filled=True).encode(y="system:N", x=alt.X("x:Q", title="cm"), color=alt.value("red"))
        beside = alt.hconcat(alt.layer(line, dots).properties(width=100), alt.layer(dots, line).properties(width=50))
        made: dict[str, Any] = alt.vconcat(beside, line).resolve_scale(color="independent").to_dict()
        return made

    library: Any = alt
    plain = layered(library.Chart(library.Data(values=rows)))
    assert layered(_chart(rows)) == plain
