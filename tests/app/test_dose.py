"""The command for the day: what it prints, what it reads and writes, how it stops.  All figures are invented."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest
import typer
import xlsxwriter

from plans.faulty import DEMO
from spadework.app.dose import dose
from spadework.app.stops import stopping
from spadework.plan import PlanFaults
from spadework.present.cautions import DEFER
from spadework.records.files.dose_files import read_area, read_catches, read_loads, template

WEATHER = (files("spadework.demo") / "weather.csv").read_bytes()
Run = Callable[..., tuple[int, str, str]]

RIGHT = "outlet,litres,seconds\n" + "".join(f"{i},42.9,10\n" for i in range(1, 9))
LOADS = "load,full_t,empty_t,area_ha\n1,25.10,10.20,0.50\n2,25.30,10.10,0.52\n3,25.00,11.00,0.46\n"


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the command in this process; return exit code, output and errors."""
    app = typer.Typer(pretty_exceptions_enable=False, rich_markup_mode=None, add_completion=False)
    app.command()(dose)
    app.callback()(lambda: None)

    def command(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["spadework", "dose", *map(str, words)])
        with pytest.raises(SystemExit) as stopped, stopping():
            app()
        said = capsys.readouterr()
        code = stopped.value.code
        return (code if isinstance(code, int) else 0 if code is None else 1), said.out, said.err

    return command


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with the demo plan and its weather."""
    (tmp_path / "plan.toml").write_text(DEMO, "utf-8")
    (tmp_path / "weather.csv").write_bytes(WEATHER)
    return tmp_path


def part(out: str, system: str) -> dict[str, str]:
    """Return the lines of one system by label."""
    block = out.split(f"\n{system}: ", 1)[1].split("\n\n", 1)[0]
    lines = [line for line in block.splitlines() if line.startswith("  ") and line[2] != " "]
    return {line[2:32].strip(): line[32:] for line in lines}


def test_every_system_that_places_slurry(run: Run, folder: Path) -> None:
    code, out, err = run(folder)
    assert (code, err) == (0, "")
    for system in ("plough", "cultivator", "strip", "injector"):
        assert part(out, system)["dose"] == "29.4 m3/ha (in the plan: 30 t/ha)"
    assert "INVENTED" in out
    assert "Estimated: models only" in out
    assert all(len(line) <= 100 and line == line.rstrip() for line in out.splitlines())
    assert out.isascii()
    assert run(folder / "plan.toml") == (0, out, "")


def test_a_row_machine_by_hand(run: Run, folder: Path) -> None:
    # 30 t/ha / 1.02 = 29.41 m3/ha; x 6 m x 7 km/h / 600 = 2.0588 m3/min; / 8 = 257.4 L/min; x 20/60 = 85.8 L.
    # 29.41 x 0.75/10 = 2.206 L/m; 8/7 of it 2.521.  7/1.1 = 6.364, 7/0.9 = 7.778 km/h.  7/8 - 1 = -12.5 %.
    code, out, _ = run(folder, "--system", "strip")
    assert code == 0
    assert "\nplough: " not in out
    said = part(out, "strip")
    assert said["speed"] == "7 km/h; 6.36 to 7.78 km/h for the dose +/-10 %"
    assert said["1 km/h too fast"].startswith("takes 12 % off")
    assert said["flow of the pump"] == "2.06 m3/min; 1.85 to 2.26 m3/min for the dose +/-10 %"
    assert said["the same by the hour"] == "124 m3/h"
    assert said["outlets"] == "8 rows"
    assert said["each outlet"] == "257 L/min"
    assert said["in the bucket after 20 s"] == "85.8 L; 77.2 to 94.4 L for the dose +/-10 %"
    assert said["slurry per metre of row"] == "2.21 L/m"
    assert said["should one row block"].startswith("2.52 L/m in the others (+14 %)")
    assert said["a load lasts"].startswith("828 (")
    seven = part(run(folder, "--system", "strip", "--seconds", 7)[1], "strip")
    assert seven["in the bucket after 7 s"].startswith("30 L; ")


def test_outlets_of_other_machines_come_from_the_plan_or_are_unknown(run: Run, folder: Path) -> None:
    assert part(run(folder)[1], "injector")["outlets"].startswith("not in the plan: give the placing machine tools")
    with_tools = DEMO.replace(
        'kind = "cultivator injector, mixing"\n', 'kind = "cultivator injector, mixing"\ntools = 12\n'
    )
    assert with_tools != DEMO
    (folder / "plan.toml").write_text(with_tools, "utf-8")
    said = part(run(folder, "--system", "injector")[1], "injector")
    assert said["outlets"] == "12 outlets"
    assert "slurry per metre of row" not in said
    # 29.41 x 5 x 7/600/12 = 143 L/min
    assert said["each outlet"] == "143 L/min"


def test_a_spread_in_the_plan_shows(run: Run, folder: Path) -> None:
    (folder / "plan.toml").write_text(DEMO.replace('dose = "30 t/ha"', 'dose = "30 +/- 3 t/ha"'), "utf-8")
    said = part(run(folder)[1], "strip")
    for label in ("dose", "flow of the pump", "each outlet", "slurry per metre of row", "loads for this field"):
        assert " to " in said[label].split(";")[0], label


def test_cautions_end_every_card(run: Run, folder: Path) -> None:
    (folder / "b.csv").write_text(RIGHT)
    for words in ((), ("--system", "strip", "--bucket", folder / "b.csv")):
        out = " ".join(run(folder, *words)[1].split())
        care = out.split("Take care", 1)[1]
        for said in (
            "Gas when slurry is stirred",
            "Turning shafts",
            "Hoses under pressure",
            "reach under a raised machine",
        ):
            assert said in care
        assert "Hydrogen sulphide" in care
        assert " ".join(DEFER.split()) in care


def test_outlets_that_are_right(run: Run, folder: Path) -> None:
    (folder / "b.csv").write_text(RIGHT)
    code, out, _ = run(folder, "--system", "strip", "--bucket", folder / "b.csv")
    assert code == 0
    assert "8 of 8 outlets (b.csv); looked: one test, no replication" in out
    assert out.count("   right") == 8
    assert "on the target of 29.4 m3/ha" in " ".join(out.split())
    assert "- go; weigh the first loads" in out


def test_blocked_outlets_are_named_and_judged(run: Run, folder: Path) -> None:
    rows = [42.1, 44, 43, 8.5, 40, 43.5, 36, 0]
    text = "\ufeffOutlet; Litres; Seconds; note\n" + "".join(
        f"{i};{litres:g};10;\n".replace(".", ",") for i, litres in enumerate(rows, 1)
    )
    (folder / "b.csv").write_text(text, "utf-8")
    code, out, _ = run(folder, "--system", "strip", "--bucket", folder / "b.csv")
    assert code == 0
    judged = {line.split()[0]: line.split()[-1] for line in out.split("judged\n")[1].splitlines()[:8]}
    assert judged == {"1": "right", "2": "right", "3": "right", "4": "blocked", "5": "right", "6": "right", "7": "off", "8": "blocked"}  # fmt: skip  # noqa: E501
    flat = " ".join(out.split())
    assert "clear outlets 4 and 8, then test again" in flat
    assert "- go" not in out
    # 257.1 L in 10 s are 1.543 m3/min; x 600/6/7 = 22.0 m3/ha; 8/6 of 2.206 L/m are 2.94.
    assert "All together 1.54 m3/min: at 7 km/h and 6 m that is 22 m3/ha, 25 % under the target" in flat
    assert "With 2 of 8 blocked and the pump keeping its flow, the others get 39.2 m3/ha (+33 %): 2.94 L" in flat


def test_an_outlet_that_is_off_and_a_flow_that_is_low(run: Run, folder: Path) -> None:
    low = "outlet,litres,seconds\n" + "".join(f"{i},{30 if i == 3 else 36},10\n" for i in range(1, 9))
    (folder / "b.csv").write_text(low)
    flat = " ".join(run(folder, "--system", "strip", "--bucket", folder / "b.csv")[1].split())
    assert "look at outlet 3 (" in flat
    # 282 L in 10 s are 1.692 m3/min; at that flow 600 x 1.692/(6 x 29.41) = 5.75 km/h give the dose.
    assert "set the pump to more, 2.06 m3/min; or, if the soil work allows, drive 5.75 km/h" in flat


def test_repeats_and_outlets_left_out(run: Run, folder: Path) -> None:
    (folder / "b.csv").write_text("# Tuesday\noutlet\tlitres\tseconds\nleft\t40\t10\nleft\t44\t10\nright\t42\t10\n\n")
    seen = read_catches(folder / "b.csv")
    assert (seen.outlets, seen.caught_l.tolist(), seen.time_s.tolist()) == (("left", "right"), [42, 42], [10, 10])
    out = run(folder, "--system", "strip", "--bucket", folder / "b.csv")[1]
    assert "2 of 8 outlets" in out
    assert "not tested are taken to give the mean" in out
    out = run(folder, "--system", "plough", "--bucket", folder / "b.csv")[1]
    assert "2 of 2 outlets" in out
    assert "those tested are taken for all" in out


def test_a_bucket_test_and_loads_as_workbooks(run: Run, folder: Path) -> None:
    for name, text in (("b", RIGHT), ("l", LOADS)):
        (folder / f"{name}.csv").write_text(text)
        with xlsxwriter.Workbook(folder / f"{name}.xlsx") as book:
            sheet = book.add_worksheet()
            for line, cells in enumerate(row.split(",") for row in text.splitlines()):
                for place, cell in enumerate(cells):
                    if line:
                        sheet.write_number(line, place, float(cell))
                    else:
                        sheet.write_string(line, place, cell)
    both = [
        run(folder, "--system", "strip", "--bucket", folder / f"b.{kind}", "--loads", folder / f"l.{kind}")
        for kind in ("csv", "xlsx")
    ]
    assert both[0][0] == 0
    assert both[0][1] == both[1][1].replace("(b.xlsx)", "(b.csv)").replace("(l.xlsx)", "(l.csv)")


@pytest.mark.parametrize(
    ("litres", "words"), [((0, 0, 0), "No outlet gives anything"), ((0, 0, 42), "half the outlets")]
)
def test_outlets_that_give_nothing(run: Run, folder: Path, litres: tuple[int, ...], words: str) -> None:
    (folder / "b.csv").write_text("outlet,litres,seconds\n" + "".join(f"{i},{v},10\n" for i, v in enumerate(litres)))
    code, out, err = run(folder, "--system", "strip", "--bucket", folder / "b.csv")
    assert (code, err) == (0, "")
    assert words in " ".join(out.split())


def test_weighed_loads(run: Run, folder: Path) -> None:
    (folder / "l.csv").write_text(LOADS)
    code, out, _ = run(folder, "--system", "strip", "--loads", folder / "l.csv")
    assert code == 0
    flat = " ".join(out.split())
    assert "Loads weighed, strip: 3 (l.csv); looked: one day, no replication" in flat
    # 14.9/1.02/0.5 = 29.2 m3/ha; error 2 % of the area and 0.028 of 14.9 t: 2.01 %.  The third: 14/1.02/0.46 = 29.8.
    assert "1 14.90 0.500 29.2 +/- 0.6 -1 % right" in flat
    assert "3 14.00 0.460 29.8 +/- 0.6 +1 % right" in flat
    # 44.1 t on 1.48 ha are 29.8 t/ha, 29.2 m3/ha.
    assert "44.1 t on 1.48 ha: 29.2 +/- 0.6 m3/ha, 29.8 t/ha; 1 % under the target of 29.4 m3/ha: right." in flat
    assert "- go on as set" in flat
    assert "nothing for the density" in flat


def test_weighed_loads_on_one_area_and_a_dose_by_volume(run: Run, folder: Path) -> None:
    plan = DEMO.replace('dose = "30 t/ha"', 'dose = "30 m3/ha"').replace('"1.02 t/m3"', '"1.02 +/- 0.02 t/m3"')
    (folder / "plan.toml").write_text(plan, "utf-8")
    (folder / "l.csv").write_text("load;full_t;empty_t;area_ha\n1;25,10;10,20;\n2;25,3;10,1;\n")
    code, out, _ = run(folder, "--system", "strip", "--loads", folder / "l.csv", "--area", "1.25 ha")
    assert code == 0
    flat = " ".join(out.split())
    # 30.1 t / 1.02 / 1.25 ha = 23.6 m3/ha; root of 0.02^2 + 0.0196^2 = 2.8 %: 0.7.
    assert "30.1 t on 1.25 ha: 23.6 +/- 0.7 m3/ha; 21 % under the target of 30 m3/ha: too little." in flat
    assert "slow down or raise the flow" in flat
    assert "2.0 % of the density" in flat
    assert "CV of their masses" in flat


BAD_BUCKETS = [
    ("", ("holds nothing", "outlet, litres, seconds")),
    ("# only a remark\n", ("holds nothing",)),
    ("outlet,litres,seconds\n", ("line 1", "no figures")),
    ("outlet,liters,seconds\n1,2,3\n", ("line 1, column litres", "is missing")),
    ("outlet,litres,litres,seconds\n1,2,2,3\n", ("column litres", "stands twice")),
    ("outlet,litres,seconds\n1,42,1,10\n2,4,10\n", ("line 2", "4 cells, but 3 columns", "semicolons")),
    ("outlet,litres,seconds\n1,4x,10\n2,4,10\n", ("line 2, column litres", '"4x" is no number', "0 to 2000 L")),
    ("outlet,litres,seconds\n1,,10\n2,4,10\n", ("line 2, column litres", "is empty", "0 to 2000 L")),
    ("outlet,litres,seconds\n1,-1,10\n2,4,10\n", ("line 2, column litres", "-1 cannot be")),
    ("outlet,litres,seconds\n1,nan,10\n2,4,inf\n", ("line 2, column litres", "line 3, column seconds", "2 faults")),
    ("outlet,litres,seconds\n1,4,0\n2,4,10\n", ("line 2, column seconds", "more than 0 to 600 s")),
    ("outlet;litres;seconds\n1;1,234;10\n2;4;10\n", ("line 2, column litres", "two ways", "1234 or 1.234")),
    ("outlet,litres,seconds\n,4,10\n2,4,10\n", ("line 2, column outlet", "1 to 12 characters")),
    ("outlet,litres,seconds\n1,2000,0.1\n2,4,10\n", ("line 2, columns litres and seconds", "m3/min", "up to 20")),
    ("outlet,litres,seconds\n1,4,10\n1,5,10\n", ("column outlet", "1 outlet;", "2 to 200")),
    ('outlet,litres,seconds\n1,"4,10\n2,4,10\n', ("line 2", "cannot be cut into cells")),
    ("outlet,litres,seconds\n" + "".join(f"{i},42,10\n" for i in range(9)), ("9 outlets", "the plan has 8")),
    ("outlet,litres,seconds\n1,500,10\n2,500,10\n", ("all outlets together", "up to 20 m3/min")),
]


@pytest.mark.parametrize(("text", "words"), BAD_BUCKETS)
def test_a_bad_bucket_file_stops_with_what_is_allowed(
    run: Run, folder: Path, text: str, words: tuple[str, ...]
) -> None:
    (folder / "b.csv").write_text(text)
    code, out, err = run(folder, "--system", "strip", "--bucket", folder / "b.csv")
    assert (code, out) == (2, "")
    assert err.startswith("b.csv: ")
    for word in words:
        assert word in err
    assert "Traceback" not in err


BAD_LOADS = [
    (LOADS.replace("10.20", "26"), (), ("line 2, column empty_t", "less than full_t")),
    (LOADS.replace("\n2,", "\n1,"), (), ("line 3, column load", "in line 2 already")),
    (LOADS.replace("0.50", "0.01"), (), ("line 2, column area_ha", "1490 t/ha", "up to 500 t/ha")),
    (LOADS.replace(",area_ha", ",area"), (), ("line 1, column area_ha", "or give --area")),
    (LOADS, ("--area", "1.3 ha"), ("line 2, column area_ha", "one of the two")),
]


@pytest.mark.parametrize(("text", "options", "words"), BAD_LOADS)
def test_a_bad_file_of_loads_stops_with_what_is_allowed(
    run: Run, folder: Path, text: str, options: tuple[str, ...], words: tuple[str, ...]
) -> None:
    (folder / "l.csv").write_text(text)
    code, out, err = run(folder, "--system", "strip", "--loads", folder / "l.csv", *options)
    assert (code, out) == (2, "")
    for word in words:
        assert word in err


def test_files_that_are_none(run: Run, folder: Path) -> None:
    (folder / "latin.csv").write_bytes("outlet,litres,seconds\nvorne größer,4,10\n".encode("latin-1"))
    (folder / "large.csv").write_bytes(b"outlet,litres,seconds\n" + b"#" * 1_100_000)
    (folder / "long.csv").write_text(RIGHT + "1,42,10\n" * 2_100)
    for name, words in (
        ("none.csv", "no such file"),
        (".", "is no file that holds text"),
        ("latin.csv", "not UTF-8"),
        ("large.csv", "too large"),
        ("long.csv", "up to 2000"),
        ("x" * 5_000, "cannot be read"),
    ):
        code, out, err = run(folder, "--system", "strip", "--bucket", folder / name)
        assert (code, out) == (2, "")
        assert words in err


def test_options_that_do_not_go_together(run: Run, folder: Path) -> None:
    (folder / "b.csv").write_text(RIGHT)
    (folder / "l.csv").write_text("load,full_t,empty_t\n1,25,10\n")
    for words, said in (
        (("--bucket", folder / "b.csv"), "several systems place slurry"),
        (("--loads", folder / "l.csv", "--area", "1 ha"), "several systems place slurry"),
        (("--system", "stripp"), 'no system is called "stripp"; did you mean "strip"?'),
        (("--system", "moon"), "there are: plough, cultivator, strip, injector"),
        (("--area", "1 ha"), "belongs to --loads"),
        (("--system", "strip", "--loads", folder / "l.csv", "--area", "3"), "--area: "),
        (("--system", "strip", "--loads", folder / "l.csv", "--area", "0 ha"), "more than 0 to 1000 ha"),
        (("--system", "strip", "--loads", folder / "l.csv", "--area", "0.001 ha"), "up to 500 t/ha"),
        (("--seconds", "0"), "--seconds"),
        (("--seconds", "nan"), "--seconds"),
        (("--template", "sheet"), "--template"),
    ):
        code, out, err = run(folder, *words)
        assert (code, out) == (2, "")
        assert said in err
        assert "Traceback" not in err


def test_a_faulty_plan_stops_it(run: Run, folder: Path) -> None:
    (folder / "plan.toml").write_text(DEMO.replace('dose = "30 t/ha"', "dose = 30"), "utf-8")
    code, out, err = run(folder)
    assert (code, out) == (2, "")
    assert "dose" in err


@pytest.mark.parametrize("which", ["bucket", "loads"])
def test_a_template_is_written_once_and_can_be_filled_in(run: Run, folder: Path, which: str) -> None:
    path = folder / f"{which}.csv"
    assert run(folder, "--template", which) == (0, f"wrote {path}\n", "")
    assert path.read_text("utf-8") == template(which)
    filled = path.read_text("utf-8") + {"bucket": "1;42,5;10\n2;43;10\n", "loads": "1;25,10;10;0,5\n"}[which]
    path.write_text(filled, "utf-8")
    code, _, err = run(folder, "--template", which)
    assert code == 2
    assert "is there already; nothing was written" in err
    assert path.read_text("utf-8") == filled
    assert run(folder, "--system", "strip", f"--{which}", path)[0] == 0


def test_a_template_where_nothing_can_be_written(run: Run, folder: Path) -> None:
    (folder / "bucket.csv").symlink_to(folder / "nowhere.csv")
    assert run(folder, "--template", "bucket")[0] == 2
    assert not (folder / "nowhere.csv").exists()


def test_loads_and_areas_from_python(folder: Path) -> None:
    (folder / "l.csv").write_text(LOADS)
    assert read_loads(folder / "l.csv").area_ha.tolist() == [0.5, 0.52, 0.46]
    assert read_area("1.2 ha") == 1.2
    with pytest.raises(PlanFaults, match="--area"):
        read_area("1.2 m")


def test_a_dose_no_setting_can_give_sends_nobody_to_the_pump(run: Run, folder: Path) -> None:
    path = folder / "loads.csv"
    path.write_text("load,full_t,empty_t,area_ha\n1,25.10,10.20,0.50\n2,25.30,10.10,52\n", "utf-8")
    code, out, _ = run(folder, "--system", "strip", "--loads", path)
    said = " ".join(out.split())
    assert code == 0
    assert "0.3 +/- 0.0 -99 % hard to believe" in said
    assert "look at area, weights and units of load 2 again" in said
    assert "raise the flow" not in said
    path.write_text("load,full_t,empty_t\n1,25.10,10.20\n2,25.30,10.10\n", "utf-8")
    said = " ".join(run(folder, "--system", "strip", "--loads", path, "--area", "0.102 ha")[1].split())
    assert "look at area, weights and units again" in said


def test_loads_for_a_field_are_whole(run: Run, folder: Path) -> None:
    _, out, _ = run(folder, "--system", "strip")
    assert part(out, "strip")["loads for this field"].strip() == "20 (19 to 21)"
