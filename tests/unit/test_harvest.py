"""The harvest: shapes, what is turned away, edges of the steps, and the two files that are read.  All figures are invented."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from harvest_made import Made, made_log
from spadework.findings.harvest import logged_plots, weighed_plots
from spadework.plan import PlanFaults
from spadework.ranges import ImpossibleValue, OutsideCalibration
from spadework.records.files.harvest import harvest_columns, read_weighed, weighed_template
from spadework.records.files.harvest_columns import read_log_columns
from spadework.records.files.harvest_log import read_log
from spadework.science import harvest as hv
from spadework.statistics.models.model import fit_model

HEAD = "plot;system;block;load;gross_kg;tare_kg;net_kg;length_m;width_m;dm_1_pct;dm_2_pct\n"
COLUMNS = """crop = "forage"
width = "6 m"
[column]
time = { name = "t", unit = "s" }
east = { name = "e", unit = "m" }
north = { name = "n", unit = "m" }
flow = { name = "flow", unit = "t/h" }
speed = { name = "v", unit = "km/h" }
moisture = { name = "wet", unit = "%" }
header = { name = "work", down = "on" }
plot = { name = "strip" }
"""


def weighed(folder: Path, text: str) -> Path:
    path = folder / "strips.csv"
    path.write_text(HEAD + text, "utf-8")
    return path


def written(folder: Path, log: Made, columns: str = COLUMNS) -> tuple[Path, Path]:
    rows = ["t;e;n;flow;v;wet;work;strip"]
    for i in range(log.time_s.size):
        figures = (log.time_s[i], log.east_m[i], log.north_m[i], 3.6 * log.flow_kg_s[i], 3.6 * log.speed_m_s[i])
        cells = [f"{value:.5f}" for value in (*figures, 100 * log.moisture_share[i])]
        rows.append(";".join([*cells, "ON" if log.header_down[i] else "off", str(log.strip[i])]))
    (folder / "log.csv").write_text("\n".join(rows) + "\n", "utf-8")
    (folder / "log.toml").write_text(columns, "utf-8")
    return folder / "log.csv", folder / "log.toml"


def test_shapes_broadcast() -> None:
    assert hv.strip_yield([[100.0], [200.0]], [50.0, 60.0, 70.0]).shape == (2, 3)
    assert hv.metres_from_middle(np.full((2, 3), 50.0), 8.0, 50.0, 8.0).shape == (2, 2, 3)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: hv.strip_yield(100, 0), "area_m2"),
        (lambda: hv.dry_matter_yield(48, 1.2), "dry_matter_share"),
        (lambda: hv.yield_at_moisture(48, 0.2, 1), "standard_moisture_share"),
        (lambda: hv.point_yield(12, 0, 6), "speed_m_s"),
        (lambda: hv.sampled_dry_matter([], [], [1000]), "number of samples"),
        (lambda: hv.sampled_dry_matter([0.3], [2], [1000, 900]), "sample_load"),
        (lambda: hv.times_between([0, 1, 0.5], 5), "step of time_s"),
        (lambda: hv.times_between([0], 5), "number of records"),
        (lambda: hv.shifted_flow([0, 1], [1, 1], -1, 5), "delay_s"),
        (lambda: hv.metres_from_middle(88, 0, 88, 0), "latitude_deg"),
    ],
)
def test_what_cannot_be(call, said: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ImpossibleValue, match=said):
        call()


def test_rows_that_do_not_fit() -> None:
    with pytest.raises(ValueError, match="one length"):
        hv.strip_means([1, 2], [1], ["a", "b"])
    with pytest.raises(ValueError, match="one length"):
        hv.local_moran([1, 2], [1], [1], ["a"], 5)
    with pytest.raises(ValueError, match="one row"):
        hv.sampled_dry_matter([0.3, 0.4], [0], [1000])
    with pytest.raises(ValueError, match="allowed: forage, grain"):
        hv.clean_log(*made_log(passes=1).arrays(), delay_s=12, crop="hay")


def test_far_from_the_middle_is_noted() -> None:
    with pytest.warns(OutsideCalibration, match="distance from the middle"):
        hv.metres_from_middle(50.03, 8, 50, 8)


def test_one_sample_cannot_show_its_error() -> None:
    found = hv.sampled_dry_matter([0.33], [0], [4000])
    assert found.dry_matter_share == 0.33
    assert np.isnan(found.standard_error)
    assert hv.sampled_dry_matter([0.33, 0.35], [0, 0], [4000]).standard_error == pytest.approx(0.01)


def test_flow_is_not_carried_over_silence() -> None:
    found = hv.shifted_flow([0, 1, 2, 60, 61], [1, 1, 1, 9, 9], 1.5, 5)
    np.testing.assert_array_equal(np.isnan(found), [False, True, True, True, True])


def test_the_delay_is_not_made_up() -> None:
    log = made_log(passes=1)
    number = hv.numbered_passes(log.time_s, log.header_down, log.strip, 5)
    curve = hv.delay_curve(log.time_s, log.east_m, log.north_m, log.flow_kg_s, log.speed_m_s, number, 6)
    assert curve.pairs == 0
    assert np.isnan(curve.best_s)
    late = made_log(delay_s=45)
    number = hv.numbered_passes(late.time_s, late.header_down, late.strip, 5)
    curve = hv.delay_curve(late.time_s, late.east_m, late.north_m, late.flow_kg_s, late.speed_m_s, number, 6)
    assert curve.pairs > 500
    assert curve.agreement.max() < 0.2  # the true delay is longer than any that is tried
    assert np.isnan(curve.best_s)


def spoiled(what: str) -> tuple[Made, int]:
    """Return a log with something wrong in the middle of the second pass, and where."""
    log = made_log(passes=2, length_m=150, smear_s=0)
    at = int(np.flatnonzero(log.strip == "B1")[45])
    if what == "speed":
        log.speed_m_s[at] = 0.2
    elif what == "change of speed":
        log.speed_m_s[at] *= 1.3
    elif what == "moisture":
        log.moisture_share[at] = 0.2
    elif what == "biological limits":
        log.flow_kg_s[at + 12] = 150
    elif what == "far from the mean of the strip":
        log.flow_kg_s[at + 12] *= 1.35
    elif what == "same place twice":
        log.east_m[at + 1] = log.east_m[at] + 0.05
        at += 1
    elif what == "no flow at the later time":
        log = Made(*(part[: at + 11] for part in log.arrays()), log.true_t_ha)
        at = at - 1
    return log, at


@pytest.mark.parametrize(
    "what",
    [
        "speed",
        "change of speed",
        "moisture",
        "biological limits",
        "far from the mean of the strip",
        "same place twice",
        "no flow at the later time",
    ],
)
def test_each_step_removes_what_it_is_named_for(what: str) -> None:
    log, at = spoiled(what)
    found = hv.clean_log(*log.arrays(), delay_s=12)
    if what == "no flow at the later time":
        left = np.flatnonzero(found.reason == hv.STEPS.index(what) + 1)
        assert left.size >= 5
        assert left.max() > at
        return
    assert hv.STEPS[found.reason[at] - 1] == what


def test_a_strip_that_loses_more_is_named() -> None:
    log = made_log(passes=4, length_m=200)
    mine = np.flatnonzero(log.strip == "B1")
    log.moisture_share[mine[20:70]] = 0.1
    found = hv.clean_log(*log.arrays(), delay_s=12)
    assert any("strip B1 lost" in text for text in found.warnings)
    log.moisture_share[:] = 0.1
    every = hv.clean_log(*log.arrays(), delay_s=12)
    assert any("more than 30 %" in text for text in every.warnings)
    assert any("nothing is left of strip" in text for text in every.warnings)
    assert np.isnan(every.strip_after).all()


def test_without_moisture_no_step_looks_at_it() -> None:
    log = made_log(passes=2, length_m=100)
    log.moisture_share[:] = np.nan
    found = hv.clean_log(*log.arrays(), delay_s=12)
    assert found.steps[6].removed == 0
    assert np.isfinite(found.strip_after).all()


def test_weighed_strips_become_plots(tmp_path: Path) -> None:
    text = "1;plough;1;a;9800;5480;;150;6;32,0;34,0\n2;strip;1;a;;;4500;150;6;34;35\n3;plough;2;a;9000;5480;;150;6;33;33,5\n"
    text += "3;;;b;5980;5480;;;;33;34\n4;strip;2;;9900;5480;;150;6;34;34,5\n"
    strips = read_weighed(weighed(tmp_path, text))
    found = weighed_plots(strips)
    assert found.plots == ("1", "2", "3", "4")
    assert found.fresh_t_ha.tolist() == pytest.approx([48.0, 50.0, 10 * (3520 + 500) / 900, 10 * 4420 / 900])
    assert found.dm_t_ha[0] == pytest.approx(48 * 0.33)
    # by hand: weighing 4.082/4320, sampling 0.01/0.33, length 0.5/150, width 0.01
    by_hand = np.sqrt((10 * np.sqrt(2 / 12) / 4320) ** 2 + (0.01 / 0.33) ** 2 + (0.5 / 150) ** 2 + 0.01**2)
    assert found.se_t_ha[0] == pytest.approx(48 * 0.33 * by_hand)
    assert found.samples.tolist() == [2, 2, 4, 2]
    model = fit_model(found.columns(), "dm_t_ha", "system", ["block"])
    assert model.design.levels["system"] == ("plough", "strip")
    rough = weighed_plots(strips, division_kg=100, length_se_m=5, width_se_share=0.05)
    assert (rough.se_t_ha > found.se_t_ha).all()


def test_moistures_make_grain(tmp_path: Path) -> None:
    path = tmp_path / "g.csv"
    path.write_text("plot,net_kg,length_m,width_m,moisture_1_pct\na,900,150,6,24\n", "utf-8")
    strips = read_weighed(path)
    assert strips.grain
    found = weighed_plots(strips)
    assert found.dry_matter_share[0] == pytest.approx(0.76)
    assert any("one sample only" in note for note in found.notes)


def test_faults_of_weighed_strips_stand_together(tmp_path: Path) -> None:
    text = "1;plough;1;a;5000;5480;;150;6;32;\n1;strip;1;a;9000;5480;;140;6;32;\n"
    text += "2;strip;1;;;;;150;;32;\n3;strip;1;;9000;5000;3000;150;6;;\n"
    with pytest.raises(PlanFaults) as raised:
        read_weighed(weighed(tmp_path, text))
    said = str(raised.value)
    for words in (
        "full 5000 kg is no more than empty 5480 kg",
        "load a of plot 1 stands in line 2 already",
        "plot 1 has 140 and 150 m",
        "plot 1 is said to be plough and strip",
        "hold no mass; give gross and tare, or net",
        "plot 2 has none",
        "net 3000 kg, but gross less tare is 4000 kg",
        "plot 3 has no sample",
    ):
        assert words in said, words


def test_a_yield_that_cannot_be_is_a_fault(tmp_path: Path) -> None:
    with pytest.raises(PlanFaults, match="plot 1 yields 4444 t/ha, which cannot be"):
        read_weighed(weighed(tmp_path, "1;plough;1;a;;;4000;15;0,6;32;\n"))


def test_records_too_far_apart_are_a_fault(tmp_path: Path) -> None:
    made = made_log(passes=2, length_m=60)
    made.time_s[:] *= 10
    data, columns = written(tmp_path, made)
    with pytest.raises(PlanFaults, match="records lie 10 s apart; allowed: up to 5 s"):
        read_log(data, read_log_columns(columns))


def test_any_errors_can_be_added(tmp_path: Path) -> None:
    strips = read_weighed(weighed(tmp_path, "1;plough;1;a;;;4;1;0,6;32;\n"))
    found = weighed_plots(strips, division_kg=1000, length_se_m=100, width_se_share=0.5)
    assert found.se_t_ha[0] > 50 * found.dm_t_ha[0]


def test_both_kinds_of_sample_are_a_fault(tmp_path: Path) -> None:
    path = tmp_path / "g.csv"
    path.write_text("plot,net_kg,length_m,width_m,moisture_1_pct,dm_1_pct\na,900,150,6,24,\nb,900,150,6,,30\n", "utf-8")
    with pytest.raises(PlanFaults, match="allowed: one of the two"):
        read_weighed(path)


def test_the_template_is_read_once_filled_in(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text(weighed_template(samples=2) + "1;a;1;;9000;5000;;150;6;33;34;windy\n", "utf-8")
    strips = read_weighed(path)
    assert strips.sample_share.tolist() == pytest.approx([0.33, 0.34])
    assert any("windy" in remark for remark in strips.remarks)
    names = [column.name for column in harvest_columns()]
    assert len(names) == len(set(names))


def test_unusual_figures_are_remarked_on_and_kept(tmp_path: Path) -> None:
    strips = read_weighed(weighed(tmp_path, "1;a;1;;5400;5000;;15;6;12;\n"))
    assert any(remark.startswith("length_m: line 2 outside the usual") for remark in strips.remarks)
    assert any(remark.startswith("dm_1_pct: line 2") for remark in strips.remarks)


def test_a_log_is_read_in_its_own_units(tmp_path: Path) -> None:
    made = made_log(passes=4, length_m=150)
    data, columns = written(tmp_path, made)
    log = read_log(data, read_log_columns(columns))
    np.testing.assert_allclose(log.flow_kg_s, made.flow_kg_s, atol=1e-5)
    np.testing.assert_allclose(log.speed_m_s, made.speed_m_s, atol=1e-5)
    np.testing.assert_array_equal(log.header_down, made.header_down)
    found = logged_plots(log)
    assert found.yields.plots == ("A1", "A2", "B1", "B2")
    for name, ours in zip(found.yields.plots, found.yields.fresh_t_ha, strict=True):
        assert ours == pytest.approx(made.true_t_ha[name], rel=0.02)
    assert np.isnan(found.yields.se_t_ha).all()
    assert found.delay_s == pytest.approx(12, abs=0.6)
    assert logged_plots(log, delay_s=12, moisture_share=0.6).yields.dry_matter_share.tolist() == pytest.approx(
        [0.4] * 4
    )


def test_clock_times_and_degrees(tmp_path: Path) -> None:
    columns = """width = "6 m"
delay = "1 s"
[column]
time = { name = "when", unit = "clock" }
latitude = { name = "lat", unit = "deg" }
longitude = { name = "lon", unit = "deg" }
flow = { name = "flow", unit = "kg/s" }
speed = { name = "v", unit = "m/s" }
dry_matter = { name = "dm", unit = "share" }
[[plot]]
name = "1"
system = "strip"
block = "a"
start = [50.0, 8.0]
end = [50.0, 8.001]
width = "6 m"
trim = "10 m"
"""
    rows = ["when,lat,lon,flow,v,dm"]
    rows += [f"2026-09-20 14:00:{i:02d},50.0,{8 + i * 0.00002:.6f},14.4,1.43,0.33" for i in range(60)]
    rows[5] = rows[5].replace("14.4", "")
    rows.insert(8, rows[7])
    (tmp_path / "l.csv").write_text("\n".join(rows), "utf-8")
    (tmp_path / "l.toml").write_text(columns, "utf-8")
    said = read_log_columns(tmp_path / "l.toml")
    log = read_log(tmp_path / "l.csv", said)
    assert log.time_s[-1] == 59
    assert log.moisture_share[0] == pytest.approx(0.67)
    inside = np.flatnonzero(np.array(log.plot) == "1")
    along = log.east_m[inside] - log.east_m[0]
    assert along.min() >= 10
    assert along.max() <= 71.7 - 10
    said_of = " ".join(log.remarks)
    assert "1 of 61 records left out" in said_of
    assert "1 records left out: they have the time" in said_of
    assert "does not say whether the header is down" in said_of
    found = logged_plots(log, delay_s=said.delay_s)
    assert found.yields.systems == ("strip",)
    assert found.yields.fresh_t_ha[0] == pytest.approx(10 * 14.4 / (1.43 * 6), rel=1e-6)


def test_faults_of_the_columns_stand_together(tmp_path: Path) -> None:
    path = tmp_path / "c.toml"
    path.write_text(
        """crop = "hay"
delay = 12
with = "6 m"
[column]
time = { name = "t", unit = "kg" }
lattitude = { name = "lat", unit = "deg" }
flow = { name = "flow", unit = "L/h" }
moisture = { name = "m", unit = "g" }
header = { name = "h" }
[[plot]]
name = "1"
start = [1, 2, 3]
""",
        "utf-8",
    )
    with pytest.raises(PlanFaults) as raised:
        read_log_columns(path)
    said = str(raised.value)
    for words in (
        "allowed: forage or grain",
        "delay: is 12; allowed: text with a unit",
        'did you mean "width"?',
        "column.time: unit:",
        'did you mean "latitude"?',
        "column.flow: unit:",
        'column.moisture: needs unit = "%" or "share"',
        "while the header is down",
        "column.speed: is missing",
        "gives no place",
        "start must be two numbers",
        "width: is missing",
    ):
        assert words in said, words


def test_faults_of_the_points_stand_together(tmp_path: Path) -> None:
    data, columns = written(tmp_path, made_log(passes=2, length_m=60))
    said = read_log_columns(columns)
    lines = data.read_text("utf-8").splitlines()
    cells = lines[4].split(";")
    cells[3], cells[4], cells[5] = "x", "900", "140"
    lines[4] = ";".join(cells)
    data.write_text("\n".join(lines), "utf-8")
    with pytest.raises(PlanFaults) as raised:
        read_log(data, said)
    text = str(raised.value)
    for words in ('line 5, column flow: "x" is no number', "column v: 250 m/s cannot be", "column wet: 1.4 cannot be"):
        assert words in text, text


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda text: text.replace("flow", "flux", 1), "column flow: for flow is not there"),
        (lambda text: text.replace(";ON;", ";1;"), 'never says "on"'),
        (lambda text: "t;e\n", "holds no records"),
        (lambda text: "\n".join([text.splitlines()[0], *reversed(text.splitlines()[1:])]), "goes back"),
        (lambda text: text + "1;2;3\n", "another number of cells"),
    ],
)
def test_what_is_no_log(tmp_path: Path, change, said: str) -> None:  # type: ignore[no-untyped-def]
    data, columns = written(tmp_path, made_log(passes=2, length_m=60))
    data.write_text(change(data.read_text("utf-8")), "utf-8")
    with pytest.raises(PlanFaults, match=said):
        read_log(data, read_log_columns(columns))
    with pytest.raises(PlanFaults, match="no such file"):
        read_log(tmp_path / "none.csv", read_log_columns(columns))


def test_a_log_without_the_means_to_judge_it_stops(tmp_path: Path) -> None:
    made = made_log(passes=1, length_m=100)
    data, columns = written(tmp_path, made)
    log = read_log(data, read_log_columns(columns))
    with pytest.raises(PlanFaults, match="the delay cannot be found"):
        logged_plots(log)
    made.strip[:] = ""
    data, columns = written(tmp_path, made)
    with pytest.raises(PlanFaults, match="no record with the header down lies in a plot"):
        logged_plots(read_log(data, read_log_columns(columns)), delay_s=12)
