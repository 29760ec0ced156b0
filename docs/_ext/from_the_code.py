"""Parts of the pages that are written from the code at build time, so that they cannot go stale.

Each directive turns one function of this module into a table: ``plan-keys``, ``words``, ``figures``, ``tables``,
``standings`` and ``stand-ins``.  The functions return Markdown and are tested without a build.
"""

from __future__ import annotations

import pkgutil
import re
import typing
from collections.abc import Iterator
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, ClassVar

from docutils import nodes
from pydantic import BaseModel
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

import spadework
from spadework import plan
from spadework.estimate import estimate
from spadework.plan.kinds import Kind
from spadework.plan.measures import Measure
from spadework.plan.stand_ins import STAND_INS
from spadework.quantities import units_that_do
from spadework.reference import STANDINGS, load, sources, table_names
from spadework.working import Figure, Gathered, Given, Looked, Summed, Worked

PARTS: dict[str, type[BaseModel]] = {
    "plan": plan.Plan,
    "field": plan.Field,
    "crop": plan.Crop,
    "crop.need": plan.Need,
    "crop.starter": plan.Starter,
    "slurry": plan.Slurry,
    "slurry.analysis": plan.Analysis,
    "weather": plan.Weather,
    "weather.rain": plan.Rain,
    "prices": plan.Prices,
    "farm": plan.Farm,
    "band": plan.Band,
    "band.target": plan.BandTarget,
    "band.steering": plan.Steering,
    "design": plan.Design,
    "design.factor": plan.DesignFactor,
    "layout": plan.Layout,
    "season": plan.Season,
    "season.person": plan.Person,
    "season.task": plan.Task,
    "limit": plan.Limit,
    "tractor": plan.Tractor,
    "machine": plan.Machine,
    "wheels": plan.Wheels,
    "supply": plan.Supply,
    "contractor": plan.Contractor,
    "system": plan.System,
    "pass": plan.Pass,
}
"""Tables of the plan file in the order of the page; ``plan`` is the head of the file."""

MEANING = {
    "plan.question": "What the comparison is to answer, in one sentence",
    "plan.field": "Table: the field",
    "plan.crop": "Table: the crop",
    "plan.slurry": "Table: the slurry",
    "plan.weather": "Table: the hours of spreading",
    "plan.prices": "Table: the prices",
    "plan.farm": "Table: the farm behind the field; may be left out",
    "plan.band": "Table: what is wanted of the band of slurry under the row; may be left out",
    "plan.design": "Table: the layout in the field: blocks, what is drawn, what it is to find; may be left out",
    "plan.season": "Table: the day of sowing, who does what, tasks of your own; may be left out",
    "plan.layout": "Table: what the layout on the field needs beyond the machines; may be left out",
    "plan.supply": "Tables: how slurry gets to the outfit, where a tanker alone does not say it",
    "plan.contractor": "Tables: rates of contractors to hold the own cost against",
    "plan.limit": "Tables: limits that you looked up",
    "plan.tractor": "Tables: the tractors, at least one",
    "plan.machine": "Tables: everything that is coupled to a tractor",
    "plan.system": "Tables: the systems, two to twelve",
    "field.area": "Area of the field",
    "field.texture": "Soil texture; decides the soil factor of the draft",
    "crop.kind": "What is sown",
    "crop.row_spacing": "Distance from row to row",
    "crop.population": "Seeds sown per area",
    "slurry.kind": "Animals it comes from; decides the reference loss of ammonia",
    "slurry.dose": "How much goes on; by volume, or by mass, which the density turns into volume",
    "weather.air_temperature": "Air temperature of the typical hour",
    "weather.wind": "Wind of the typical hour",
    "weather.wind_height": "Height at which the wind was measured; always needed",
    "prices.date": "Day on which the prices were taken",
    "prices.currency": "Three capital letters; every price of the plan is in it, nothing is exchanged",
    "prices.diesel": "Diesel, as you pay it",
    "prices.labour": "One paid hour",
    "prices.interest": "Interest on the money in machines, a year",
    "farm.drivers": "Drivers at work at the same time",
    "limit.of": "What is limited",
    "limit.at_most": "The limit, where it is a most; for phosphate name P or P2O5, for a slope per cent",
    "limit.at_least": "The limit, where it is a least (distances)",
    "limit.source": "Where you read it",
    "limit.date": "When you read it",
    "tractor.name": "What you call it; passes name it so",
    "tractor.drive": "Driven wheels; decides how much power reaches the drawbar",
    "tractor.years": "How long it is kept",
    "tractor.hours": "Hours it works in a year, on everything",
    "machine.name": "What you call it; passes name it so",
    "machine.kind": "Kind of machine, from the list below; decides which rows of the tables speak for it",
    "machine.rows": "How many rows it works, 1 to 36; needed for strip tillers and planters",
    "machine.tine_width": "Width of the foot of a strip tiller's tine",
    "machine.tank": "Volume of a tanker",
    "machine.filling": "Flow when a tanker fills at the store; needed where refill is left out",
    "machine.years": "How long it is kept",
    "machine.hours": "Hours it works in a year",
    "supply.name": "What you call it; passes name it so",
    "supply.way": "Feeder tankers that fill the spreading tank, a field container between them, or a hose",
    "contractor.name": "What you call it; passes name it so",
    "contractor.rate": "Per hectare, per hour, or per m3 of slurry",
    "contractor.date": "Day of the rate",
    "contractor.source": "Who said it, or where it is printed",
    "system.name": "Short name, on every table and chart",
    "system.about": "One sentence for people",
    "system.pass": "Tables: the passes in their order, one to twelve",
    "pass.tractor": "Name of a tractor of the plan",
    "pass.machines": "Names of one to four machines of the plan, from the tractor backwards; all equally wide",
    "pass.speed": "Speed that is driven if the tractor can",
    "pass.places": "What the pass puts into or on the ground",
}
"""What a key means, where its model does not say so itself."""

_EXAMPLE = {
    "question": '"Can a strip replace the plough here?"',
    "ph": "7.4",
    "analysed": "2026-03-20",
    "store": '"pit"',
    "load": '"1 to 4"',
    "laboratory": '"county laboratory"',
    "repeats": "2",
    "file": '"weather.csv"',
    "start": "2026-04-20T09:00:00+02:00",
    "hours": "10",
    "zone": '"Europe/Berlin"',
    "missing": '["-999"]',
    "columns": '"Temp" = "air temperature, degF"',
    "date": "2026-03-01",
    "currency": '"EUR"',
    "source": '"Regional water office, leaflet"',
    "blocks": "4",
    "seed": "20260301",
    "sowing": "2026-05-02",
    "task": '"pegs"',
    "from_day": "-18",
    "to_day": "-15",
    "who": '["AB"]',
    "does": '["sampling"]',
    "sheets": '["plot_size"]',
    "kit": '["measuring"]',
    "leave_out": '"no cover crop here"',
    "every": "3",
    "host_fields": "1",
    "check": '["plough"]',
    "apart": '["plough", "strip"]',
    "order": '["plough", "strip"]',
    "labels": '["less", "full"]',
    "edge": '"plough"',
    "rows": "8",
    "tools": "11",
    "vehicles": "2",
    "count": "4",
    "drivers": "1",
    "supply": '"two feeders"',
    "replaced": "[3]",
    "begins": "2025-10-01",
    "ends": "2026-01-31",
    "humus_rich": "true",
    "saves_starter": "true",
    "contractor": '"ring rate, ploughing"',
    "machine": '"feeder tanker, 24 m3"',
    "tractor": '"tractor 125"',
    "machines": '["tanker, 16 m3", "strip tiller, 8 rows"]',
    "places": '["slurry"]',
    "invented": "true",
    "inhibitor": "true",
    "baseline": '"plough"',
    "about": '"Ploughed, seedbed, sown"',
    "name": '"Long Acre"',
}
_SMALL = ("bool", "int", "float", "date", "datetime", "str")


def key_of(name: str, about: Any) -> str:
    """Return how a key is written in the file."""
    return about.alias or name


def plan_keys(part: str) -> str:
    """Return the keys of one table of the plan file as a Markdown table."""
    lines = ["| key | what it is | unit or words | example |", "|---|---|---|---|"]
    for name, about in PARTS[part].model_fields.items():
        key = key_of(name, about)
        meaning = about.description or MEANING.get(f"{part}.{key}", "")
        if not meaning:
            raise ValueError(f"docs: {part}.{key} has no meaning; describe it in the model or in MEANING")
        needed = "" if about.is_required() else " *(may be left out)*"
        lines.append(f"| `{key}` | {_cell(meaning)}{needed} | {_cell(_does(about))} | {_cell(_example(key, about))} |")
    return "\n".join(lines)


def _parts_of(about: Any) -> Iterator[Any]:
    waiting = [about.annotation, *about.metadata]
    while waiting:
        one = waiting.pop(0)
        yield one
        waiting += list(typing.get_args(one)) + list(getattr(one, "__metadata__", ()))


def _does(about: Any) -> str:
    for one in _parts_of(about):
        if isinstance(one, Measure):
            return ", ".join(dict.fromkeys(u for unit in one.units for u in units_that_do(unit)))
        if isinstance(one, Kind):
            return f"a {one.what}, see below"
        if typing.get_origin(one) is typing.Literal:
            return " · ".join(f'`"{w}"`' if isinstance(w, str) else f"`{w}`" for w in typing.get_args(one))
    if any(isinstance(one, type) and issubclass(one, BaseModel) for one in _parts_of(about)):
        return "table"
    if any(typing.get_origin(one) is dict for one in _parts_of(about)):
        return "table of texts"
    if any(typing.get_origin(one) is list for one in _parts_of(about)):
        return "list of names"
    found = next((one.__name__ for one in _parts_of(about) if getattr(one, "__name__", "") in _SMALL), "text")
    return {
        "bool": "true or false",
        "int": "whole number",
        "float": "number",
        "date": "date",
        "datetime": "time with zone",
    }.get(found, "text")


def _example(key: str, about: Any) -> str:
    parts = list(_parts_of(about))
    for one in parts:
        if isinstance(one, Measure):
            return f'`"{one.example}"`'
        if isinstance(one, Kind):
            return f'`"{sorted(one.words)[0]}"`'
    if key in _EXAMPLE:
        return f"`{_EXAMPLE[key]}`"
    words = next((typing.get_args(one) for one in parts if typing.get_origin(one) is typing.Literal), ())
    return f'`"{words[0]}"`' if words else ""


def words(table: str) -> str:
    """Return the words of a closed list as a Markdown list."""
    return "\n".join(f"- {row.label}" for row in load(table).values())


def stand_ins() -> str:
    """Return the guide values that may stand in for contents as a Markdown list."""
    return "\n".join(f"- {label}" for label in STAND_INS)


def tables() -> str:
    """Return all reference tables: what they hold, vintage, rows, standing and source."""
    lines = ["| table | what it holds | vintage | rows | standing | source |", "|---|---|---|---:|---|---|"]
    for name in table_names():
        table = load(name)
        standings = [row.cells.get("standing") or table.about["standing"] for row in table.values()]
        counts = ", ".join(f"{standings.count(s)} {s}" for s in STANDINGS if s in standings)
        source = sources()[table.about["source"]].text
        lines.append(
            f"| `{name}` | {_cell(table.title)} | {table.vintage} | {len(table)} | {counts} | {_cell(source)} |"
        )
    return "\n".join(lines)


def standings() -> str:
    """Return the standings of numbers and what they mean."""
    return "\n".join(
        ["| standing | meaning |", "|---|---|", *(f"| {key} | {text} |" for key, text in STANDINGS.items())]
    )


@cache
def known_figures() -> dict[str, Figure]:
    """Return every figure that an estimate can hold: those of the demo, and those of plans written in other ways."""
    folder = Path(str(files("spadework.demo")))
    text = (folder / "plan.toml").read_text("utf-8")
    found: dict[str, Figure] = {}
    for swaps in _WAYS:
        changed = text
        for old, new in swaps:
            if old not in changed:
                raise ValueError(f"docs: the demo no longer holds {old!r}")
            changed = changed.replace(old, new)
        sheet = estimate(plan.read_text(changed, "plan.toml", folder), draws=1).sheet
        found |= {name: figure for name, figure in sheet.figures.items() if name not in found}
    return found


_READING = 'measured_draft = "46 +/- 4 kN"\nmeasured_depth = "22 cm"\nmeasured_speed = "7 km/h"\n'

_ONE_ANALYSIS = (
    'basis = "fresh"\ndry_matter = "7.2 +/- 0.5 %"\ntotal_n = "3.6 +/- 0.3 kg N/t"\n'
    'ammoniacal_n = "1.9 +/- 0.2 kg NH4-N/t"\nphosphorus = "1.4 +/- 0.2 kg P2O5/t"\n'
    'potassium = "3.8 +/- 0.4 kg K2O/t"\nph = 7.4\nanalysed = 2026-03-20\n'
)
_CONTENTS_TO_ANALYSES = (_ONE_ANALYSIS, "")


def _analysis(store: str, load: str, basis: str, *contents: str) -> str:
    keys = ("dry_matter", "total_n", "ammoniacal_n", "phosphorus", "potassium")
    said = "".join(f'{key} = "{content}"\n' for key, content in zip(keys, contents, strict=True))
    head = f'[[slurry.analysis]]\nstore = "{store}"\nload = "{load}"\nvolume = "60 m3"\nbasis = "{basis}"\n'
    return f"{head}{said}ph = 7.4\n\n"


_ANALYSES = (
    _analysis("pit", "1", "fresh", "7 %", "3.6 kg N/m3", "2.4 kg NH4/m3", "0.6 kg P/m3", "3.1 kg K/m3")
    + _analysis("pit", "2", "fresh", "7 %", "3.5 kg N/t", "1.9 kg/m3", "1.4 kg P2O5/m3", "3.8 kg K2O/m3")
    + _analysis("pit", "3", "fresh", "7 %", "3.5 kg N/t", "2.4 kg NH4/t", "0.6 kg P/t", "3.1 kg K/t")
    + _analysis("pit", "4", "fresh", "7 %", "3.5 kg N/t", "1.9 kg/t", "1.4 kg P2O5/t", "3.8 kg K2O/t")
    + _analysis("tower", "5", "dry", "7 %", "50 g/kg", "26 g/kg", "19 g P2O5/kg", "53 g K2O/kg")
    + _analysis("tower", "6", "dry", "7 %", "50 g/kg", "33 g NH4/kg", "8 g P/kg", "44 g K/kg")
)

_WAYS: tuple[tuple[tuple[str, str], ...], ...] = (
    (),
    (  # contents as elements, prices by mass
        ('"1.9 +/- 0.2 kg NH4-N/t"', '"2.4 kg NH4/t"'),
        ('"1.4 +/- 0.2 kg P2O5/t"', '"0.6 kg P/t"'),
        ('"3.8 +/- 0.4 kg K2O/t"', '"3.1 kg K/t"'),
        ('price = "0 EUR/m3"', 'price = "1 EUR/t"'),
        ('"0.40 +/- 0.10 EUR/m3"', '"0.40 EUR/t"\ndelivery = "1.60 EUR/t"'),
        ('filling = "5 m3/min"                # at the store, where it drives there itself', 'refill = "6 min"'),
        ('  supply = "two feeders"\n', ""),
        ("inhibitor = false", "inhibitor = true"),
    ),
    (  # contents of dry matter
        ('basis = "fresh"', 'basis = "dry"'),
        ('"3.6 +/- 0.3 kg N/t"', '"50 g/kg"'),
        ('"1.9 +/- 0.2 kg NH4-N/t"', '"26 g/kg"'),
        ('"1.4 +/- 0.2 kg P2O5/t"', '"19 g P2O5/kg"'),
        ('"3.8 +/- 0.4 kg K2O/t"', '"53 g K2O/kg"'),
    ),
    (  # analyses of loads and stores, each written in its own way
        _CONTENTS_TO_ANALYSES,
        ("[weather]\n", _ANALYSES + "[weather]\n"),
    ),
    (  # analyses with a density each
        _CONTENTS_TO_ANALYSES,
        ("[weather]\n", _ANALYSES.replace("basis", 'density = "1.03 t/m3"\nbasis') + "[weather]\n"),
        ('density = "1.02 t/m3"\n', ""),
    ),
    (  # a guide value stands in
        (_ONE_ANALYSIS, 'stand_in = "cattle slurry, typical, UK"\n'),
        ('density = "1.02 t/m3"\n', ""),
    ),
    (  # the tanker drives itself, nothing weighed or given but a timed turn, overlap and readings; lateness priced
        ('  supply = "two feeders"\n', ""),
        ('mass = "13.2 t"\n', ""),
        ('headland = "18 m"\n', ""),
        ('width = "2.0 m"\n', 'width = "2.0 m"\nturn = "18 s"\noverlap = "5 cm"\n'),
        ('tine_width = "4 cm"\n', 'tine_width = "4 cm"\n' + _READING),
        ('depth = "22 +/- 1.5 cm"\n', 'depth = "22 +/- 1.5 cm"\n  measured_fuel = "40 L/h"\n'),
        ('depth = "23 +/- 2 cm"\n', 'depth = "23 +/- 2 cm"\n  measured_fuel = "21 L/ha"\n'),
        ('turning = "reversing"', 'turning = "leaving runs out"'),
        ('stay_fit = "70 %"\n', 'late_loss = "0.5 %"\ncrop_price = "140 EUR/t"\n'),
        ('power = "160 kW"', 'engine_power = "180 kW"'),
        ('tax = "without"\nfuel = "out"', 'tax = "with"\ntax_rate = "19 %"\nfuel = "out"'),
    ),
    (  # each system its own dose
        ("inhibitor = false", 'inhibitor = false\nterms = "equal available N"'),
    ),
    (  # need by a target value from expected yields; grain; available N by guide
        ('kind = "silage maize"', 'kind = "grain maize"'),
        ('n_need = "150 kg N/ha"              # after', 'n_available = "by guide, United Kingdom"\n# after'),
        (
            "[crop.starter]\n",
            '[crop.need]\nby = "target value, Germany"\nnmin = "60 kg N/ha"\nyields = ["8 t/ha", "9 t/ha"]\n\n[crop.starter]\n',
        ),
    ),
    (  # a wide band, as wings lay it
        ('kind = "strip tiller"', 'kind = "deep injector, winged tines"'),
    ),
    (  # need by soil index
        ('n_need = "150 kg N/ha"              # after', "# after"),
        (
            "[crop.starter]\n",
            '[crop.need]\nby = "soil index, United Kingdom"\nn_index = "1"\np_index = "1"\nk_index = "1"\n\n[crop.starter]\n',
        ),
    ),
    (  # through a field container, and through a hose
        ('way = "feeders"', 'way = "field container"\ncontainer = "60 m3"\nrate = "12 EUR/h"'),
        ('machines = ["tanker, 16 m3", "strip tiller, 8 rows"]', 'machines = ["strip tiller, 8 rows"]'),
        (
            '  supply = "two feeders"\n  contractor = "strips with',
            '  supply = "hose line"\n  contractor = "strips with',
        ),
        ('date = 2026-03-01\ncurrency = "EUR"\ntax = "without"', 'date = 2026-03-01\ncurrency = "EUR"\ntax = "with"'),
        ('tax = "without"\nfuel = "in"', 'tax = "without"\ntax_rate = "19 %"\nfuel = "in"'),
        ('tax = "without"\nfuel = "out"', 'tax = "without"\ntax_rate = "19 %"\nfuel = "out"'),
    ),
)


def figures() -> str:
    """Return every figure of an estimate: name, label, unit, what it runs over, how it comes about."""
    lines = ["| name | what it is | unit | a value for each | comes from |", "|---|---|---|---|---|"]
    for name, figure in known_figures().items():
        over = figure.over or "estimate"
        lines.append(f"| `{name}` | {_cell(figure.label)} | {figure.unit} | {over} | {_origin(figure)} |")
    return "\n".join(lines)


def _origin(figure: Figure) -> str:
    origin = figure.origin
    if isinstance(origin, Worked):
        return f"`{origin.module.removeprefix('spadework.')}.{origin.function}`"
    if isinstance(origin, Looked):
        named = dict.fromkeys(citation.table for citation in origin.citations)
        return "table " + ", ".join(f"`{table}`" for table in named) if named else "a table, where one speaks for it"
    if isinstance(origin, Given):
        return "the plan"
    if isinstance(origin, Gathered):
        return {"sum": "sum of", "product": "product of", "largest": "largest of", "pick": "rows of"}[
            origin.how
        ] + f" `{origin.figure}`"
    assert isinstance(origin, Summed)  # noqa: S101 (there is no other origin)
    return " + ".join(f"`{part}`" for part in origin.figures)


ROOMS = (
    *("app", "present", "findings", "exchange", "records", "layout", "estimate", "plan"),
    *("statistics", "science", "working", "reference", "quantities", "ranges"),
)


def modules() -> list[str]:
    """Return the public modules of the package in the order of the rooms."""
    found = [m.name for m in pkgutil.walk_packages(spadework.__path__, "spadework.")]
    public = [name for name in found if not any(part.startswith("_") for part in name.split("."))]
    return sorted((n for n in public if n.split(".")[1] in ROOMS), key=lambda n: (ROOMS.index(n.split(".")[1]), n))


def api_page() -> str:
    """Return the page that lists every public module by room, in reStructuredText, for autosummary to follow."""
    lines = ["Modules", "=======", "", "Every public module, by :doc:`room </rooms>`.", ""]
    for room in ROOMS:
        if not any(name.split(".")[1] == room for name in modules()):
            continue
        lines += [f"spadework.{room}", "-" * (len(room) + 10), "", ".. autosummary::", "   :toctree: .", ""]
        lines += [f"   {name}" for name in modules() if name.split(".")[1] == room]
        lines.append("")
    return "\n".join(lines)


PACKAGES = ("spadework.quantities", "spadework.reference")
"""Rooms whose modules are private, so that their page shows what they hand on."""

_BARS = re.compile(r"(?<![`|\w])\|([^|`\n]+)\|(?![`|_])")


def _bars(app: Sphinx, what: str, name: str, obj: Any, options: Any, lines: list[str]) -> None:
    """Take bars in docstrings for what they are here, an absolute value."""
    lines[:] = [line if line.lstrip().startswith(">>>") else _BARS.sub(r"\\|\1\\|", line) for line in lines]


def _handed_on(app: Sphinx, what: str, name: str, obj: Any, skip: bool, options: Any) -> bool | None:
    """Leave out of a module's page what was imported into it from another public module."""
    home = getattr(obj, "__module__", None)
    if what != "module" or not isinstance(home, str) or not home.startswith("spadework."):
        return None
    here = app.env.current_document.docname.removeprefix("api/")
    return True if here.startswith("spadework.") and home != here and here not in PACKAGES else None


def _write_api_page(app: Sphinx, config: Any) -> None:
    page = Path(app.srcdir) / "api" / "index.rst"
    page.parent.mkdir(exist_ok=True)
    for stale in page.parent.glob("spadework.*.rst"):
        if stale.stem not in modules() and stale.stem.count(".") > 1:
            stale.unlink()  # the module is gone
    text = api_page()
    if not page.exists() or page.read_text("utf-8") != text:
        page.write_text(text, "utf-8")


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


class _FromTheCode(SphinxDirective):
    write: ClassVar[Any]

    def run(self) -> list[nodes.Node]:
        """Return the table as nodes of the page."""
        return self.parse_text_to_nodes(type(self).write(*self.arguments), offset=self.content_offset)


def setup(app: Sphinx) -> dict[str, Any]:
    """Make the directives known."""
    for name, function, arguments in (
        ("plan-keys", plan_keys, 1),
        ("words", words, 1),
        ("tables", tables, 0),
        ("standings", standings, 0),
        ("stand-ins", stand_ins, 0),
        ("figures", figures, 0),
    ):
        kind = type(
            f"_{function.__name__}", (_FromTheCode,), {"write": staticmethod(function), "required_arguments": arguments}
        )
        app.add_directive(name, kind)
    app.connect("config-inited", _write_api_page)
    app.connect("autodoc-process-docstring", _bars)
    app.connect("autodoc-skip-member", _handed_on)
    return {"version": "1", "parallel_read_safe": True}
