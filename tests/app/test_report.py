"""The report as page and print: complete, self-contained, the same every time, whole or not at all."""

from __future__ import annotations

import re
import shutil
import subprocess
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import pytest

from spadework import __version__
from spadework.estimate import Estimate, estimate
from spadework.plan import read_text
from spadework.present.cautions import CAUTIONS
from spadework.present.document.blocks import Drawing, Grid, Report
from spadework.present.document.page import page
from spadework.present.files import CannotWrite
from spadework.present.report.content import build_report, write_report
from spadework.present.report.leaned import limits_section
from spadework.present.report.money import overview_section
from spadework.present.wording import interval_text
from spadework.reference import load

FOLDER = Path(str(files("spadework.demo")))
TEXT = (FOLDER / "plan.toml").read_text("utf-8")
TITLES = (
    "What will each system take, lose and leave?",
    "How sure is the difference?",
    "What does it look like in the ground?",
    "Is the tractor large enough?",
    "How long does a hectare take, and why?",
    "Who waits for whom?",
    "What presses on the soil?",
    "What does it cost, and for what?",
    "Hire it, own it, or use what is there?",
    "Will it be done in time?",
    "Where does the nitrogen go?",
    "How much ammonia goes, hour by hour?",
    "When is a good hour to go?",
    "What of phosphate and potash?",
    "Less ammonia, more of another gas?",
    "What is the band?",
    "What does it do to the seed?",
    "Is the strip really warmer?",
    "How fast does it dry?",
    "What this cannot tell",
    "What it leaned on",
    "Where the numbers come from",
    "Take care",
)


def estimated(text: str = TEXT, draws: int = 100, seed: int = 1) -> Estimate:
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws, seed=seed)


@pytest.fixture(scope="module")
def found() -> Estimate:
    return estimated()


@pytest.fixture(scope="module")
def built(found: Estimate) -> Report:
    return build_report(found)


@pytest.fixture(scope="module")
def html(found: Estimate, built: Report) -> str:
    return page(built, found)


@pytest.fixture
def ready(built: Report, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the report be written without being worked out once more."""
    monkeypatch.setattr("spadework.present.report.content.build_report", lambda *_: built)


class Links(HTMLParser):
    """Collects ids, links and everything that would be fetched."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: set[str] = set()
        self.fetched: list[str] = []
        self.tags: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        for name, value in attrs:
            if name == "id" and value:
                self.ids.append(value)
            if name == "href" and value:
                self.links.add(value)
            if name in {"src", "srcset", "xlink:href", "data", "action"}:
                self.fetched.append(f"{tag} {name}={value}")


def test_page_needs_no_network_and_no_script(html: str) -> None:
    seen = Links(html)
    assert seen.fetched == []
    assert not seen.tags & {"script", "link", "iframe", "img", "object"}
    assert all(link.startswith("#") for link in seen.links)
    assert "http" not in html
    assert "@import" not in html
    assert not re.search(r"url\((?!['\"]?#)", html)


def test_every_link_leads_somewhere_and_no_id_comes_twice(html: str) -> None:
    seen = Links(html)
    assert len(seen.ids) == len(set(seen.ids))
    assert {link.removeprefix("#") for link in seen.links} <= set(seen.ids)


def test_titles_stand_in_order(built: Report, html: str) -> None:
    assert tuple(section.title for section in built.sections) == TITLES
    places = [html.index(f">{title}</h2>") for title in TITLES]
    assert places == sorted(places)


def test_page_says_what_it_is(found: Estimate, html: str) -> None:
    assert "estimated: models only, nothing measured" in html
    assert "INVENTED" in html
    assert "100 draws, seed 1</li>" in html
    assert f"spadework {__version__}" in html
    assert "Prices of 1 March 2026, in EUR, without value-added tax" in html
    assert "check locally" in html
    for caution in CAUTIONS:
        assert caution.title in html
    for name in found.systems:
        assert f"Passes of {name}" in html
        assert f'<title id="face-{found.systems.index(name)}-title">{name}</title>' in html


def test_figures_of_the_overview_are_those_of_the_estimate_and_linked(found: Estimate, html: str) -> None:
    shown = interval_text(found.spread("cost", 0), 0).replace(" to ", "\N{NO-BREAK SPACE}to\N{NO-BREAK SPACE}")
    assert f'<a href="#w-0-cost">{shown}</a>' in html
    assert '<div class="step" id="w-0-cost">' in html


def test_a_working_names_function_and_module(html: str) -> None:
    assert "<code>science.machinery.pull.fuel: fuel_per_hectare</code>" in html


def test_every_chart_and_table_has_words(built: Report, html: str) -> None:
    for section in built.sections:
        for block in section.blocks:
            if isinstance(block, Drawing):
                assert len(block.alt) > 60
                assert block.svg.startswith("<svg")
            if isinstance(block, Grid):
                assert block.caption
    assert html.count("<svg") == html.count('role="img"')


def test_rival_ammonia_and_both_gap_targets_stand_beside_ours(html: str) -> None:
    dutch = load("ammonia_factors_dutch")
    for row in ("second_pass", "same_pass", "deep_placement"):
        assert f"{dutch[row].label} [memory]" in html
        assert f"<td>{100 * dutch[row].entry('loss_share').value:.0f}</td>" in html
    for target in ("5 to 7", "8 to 10", "10 to 12"):
        assert f"<td>{target}</td>" in html


def test_what_the_slurry_holds_stands_with_the_nitrogen(built: Report, html: str) -> None:
    section = next(s for s in built.sections if s.key == "nitrogen")
    assert any(isinstance(block, Grid) and block.caption == "What the slurry holds" for block in section.blocks)
    assert "What the slurry holds</caption>" in html


def test_least_certain_sources_come_first(html: str) -> None:
    places = [html.index(mark) for mark in ("TO BE CHECKED: ", "OUR CHOICE: ", "read in the source: ")]
    assert places == sorted(places)


def test_limits_are_never_cleared(built: Report) -> None:
    section = next(s for s in built.sections if s.key == "limits")
    grid = next(block for block in section.blocks if isinstance(block, Grid))
    assert {row[-1].text for row in grid.rows} == {"check locally"}
    tight = limits_section(estimated(TEXT.replace('at_most = "170 kg N/ha"', 'at_most = "60 kg N/ha"'), draws=20))
    grid = next(block for block in tight.blocks if isinstance(block, Grid))
    assert grid.rows[0][-1].text == "exceeded; check locally"


def test_same_seed_same_bytes(html: str) -> None:
    again = estimated()
    assert page(build_report(again), again) == html


def test_another_seed_other_figures(found: Estimate) -> None:
    assert overview_section(estimated(seed=2)) != overview_section(found)


def test_another_currency(html: str) -> None:
    other = estimated(re.sub(r"\bEUR\b", "SEK", TEXT), draws=20)
    shown = page(build_report(other), other)
    assert "SEK/ha" in shown
    assert not re.search(r"\bEUR\b", shown)


def test_text_of_the_plan_cannot_become_markup() -> None:
    sly = '<img src=x onerror="alert(1)">'
    text = TEXT.replace("Which way of establishing maize", sly.replace('"', "'"))
    text = text.replace('name = "strip"\n', 'name = "<b>strip</b> {{ 7 * 7 }} & #w"\n')
    other = estimated(text, draws=20)
    shown = page(build_report(other), other)
    assert "img" not in Links(shown).tags
    assert "<b>strip</b>" not in shown
    assert "&lt;b&gt;strip&lt;/b&gt; {{ 7 * 7 }} &amp; #w" in shown


def test_plan_without_band_or_limits_or_invention() -> None:
    start = TEXT.index('[[system]]\nname = "strip"')
    end = TEXT.index('[[system]]\nname = "injector"')
    text = TEXT[:start] + TEXT[end:]
    text = re.sub(r"\[\[limit\]\]\n(?:.+\n)+", "", text).replace("invented = true", "invented = false")
    other = estimated(text, draws=1)
    shown = page(build_report(other), other)
    assert "What is the band?" not in shown
    assert "INVENTED" not in shown
    assert "The plan names no limits" in shown


@pytest.mark.usefixtures("ready")
def test_print(found: Estimate, tmp_path: Path) -> None:
    (path,) = write_report(found, html=None, pdf=tmp_path / "report.pdf")
    assert path.read_bytes().startswith(b"%PDF")
    if shutil.which("pdftotext") is None:
        pytest.skip("nothing here that reads text out of a print")
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    for title in (*TITLES, "How did these figures come about?"):
        assert title in text
    flat = " ".join(text.split())
    for said in (
        "estimated: models only, nothing measured",
        "INVENTED",
        "seed 1",
        "spadework estimate plan.toml --working fuel",
    ):
        assert said in flat
    for name in found.systems:
        assert f"Passes of {name}" in flat


def test_many_systems_with_long_names(tmp_path: Path) -> None:
    start = TEXT.index('[[system]]\nname = "cultivator"')
    end = TEXT.index('[[system]]\nname = "strip"')
    more = "".join(
        TEXT[start:end].replace(
            'name = "cultivator"', f'name = "cultivator with a very long name, tried {n} times over"'
        )
        for n in range(4)
    )
    other = estimated(TEXT + "\n" + more, draws=20)
    page_file, print_file = write_report(other, html=tmp_path / "r.html", pdf=tmp_path / "r.pdf")
    assert page_file.read_text("utf-8").count("The systems side by side</caption>") == 2
    assert print_file.read_bytes().startswith(b"%PDF")


@pytest.mark.usefixtures("ready")
def test_nothing_half_written(found: Estimate, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way", "utf-8")
    with pytest.raises(CannotWrite, match="cannot be written"):
        write_report(found, html=blocked / "report.html", pdf=None)
    assert [path.name for path in tmp_path.iterdir()] == ["file"]
    assert blocked.read_text("utf-8") == "in the way"
