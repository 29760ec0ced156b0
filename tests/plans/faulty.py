"""Plans with one fault each: the demo plan after one change of its text, and what the message must say.

`at` is a piece of the changed text; the fault must stand on the line where that piece first appears.  Where it is empty
the fault is one of the file as a whole and has no line.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files

__all__ = ["DEMO", "FAULTY", "Faulty"]

DEMO = (files("spadework.demo") / "plan.toml").read_text("utf-8")


@dataclass(frozen=True)
class Faulty:
    """One change of the demo plan, and the fault that it must lead to."""

    name: str
    old: str
    new: str
    at: str
    key: str
    words: tuple[str, ...]
    alone: bool = True

    @property
    def text(self) -> str:
        """The text of the faulty plan."""
        assert self.old in DEMO, f"{self.name}: the demo plan no longer holds {self.old!r}"
        return DEMO.replace(self.old, self.new, 1)

    @property
    def line(self) -> int | None:
        """The line on which the fault must be reported."""
        if not self.at:
            return None
        place = self.text.index(self.at)
        return self.text.count("\n", 0, place) + 1


def _last_system() -> str:
    return DEMO[DEMO.index('[[system]]\nname = "injector"') :]


_STRIP_PASS = 'machines = ["tanker, 16 m3", "strip tiller, 8 rows"]\n  depth = "22 +/- 1.5 cm"'
_SOWING = '  places = ["seed"]\n\n[[system]]\nname = "cultivator"'
_INJECTOR = 'machines = ["tanker, 16 m3", "mixing injector, 5 m"]'

QUANTITIES = (
    Faulty(
        "bare number",
        'depth = "23 +/- 2 cm"',
        "depth = 23",
        "depth = 23\n",
        "system 1, pass 2, depth",
        ("23 has no unit", "22 cm"),
    ),
    Faulty(
        "number without unit in text",
        'speed = "6 km/h"',
        'speed = "6"',
        'speed = "6"',
        "pass 1, speed",
        ("no unit", "km/h", "mph"),
    ),
    Faulty(
        "bad unit",
        'depth = "23 +/- 2 cm"',
        'depth = "23 furlongs"',
        "23 furlongs",
        "pass 2, depth",
        ("furlongs", "not a unit"),
    ),
    Faulty(
        "wrong kind of unit", 'depth = "23 +/- 2 cm"', 'depth = "23 kg"', '"23 kg"', "pass 2, depth", ("a mass", "cm")
    ),
    Faulty(
        "negative depth",
        'depth = "23 +/- 2 cm"',
        'depth = "-23 cm"',
        '"-23 cm"',
        "pass 2, depth",
        ('"-23 cm"', "above 0 cm to 80 cm"),
    ),
    Faulty("depth of nil", 'depth = "23 +/- 2 cm"', 'depth = "0 cm"', '"0 cm"', "pass 2, depth", ("above 0 cm",)),
    Faulty(
        "plain gal", 'dose = "30 t/ha"', 'dose = "3200 gal/ac"', "3200 gal/ac", "slurry, dose", ("US gal or imp gal",)
    ),
    Faulty(
        "plain tons", 'dose = "30 t/ha"', 'dose = "13 tons/ac"', "13 tons/ac", "slurry, dose", ("US ton", "long ton")
    ),
    Faulty("plain hp", 'power = "125 kW"', 'power = "170 hp"', "170 hp", "tractor 1, power", ("kW", "PS")),
    Faulty(
        "P or P2O5 not said",
        'phosphorus = "1.4 +/- 0.2 kg P2O5/t"',
        'phosphorus = "1.4 kg/t"',
        "1.4 kg/t",
        "slurry, phosphorus",
        ("of what?", "P2O5 or P"),
    ),
    Faulty(
        "K or K2O not said",
        'potassium = "3.8 +/- 0.4 kg K2O/t"',
        'potassium = "3.8 kg/t"',
        "3.8 kg/t",
        "slurry, potassium",
        ("of what?", "K2O or K"),
    ),
    Faulty(
        "dose far too large",
        'dose = "30 t/ha"',
        'dose = "400 t/ha"',
        "400 t/ha",
        "slurry, dose",
        ("400 t/ha", "150 t/ha"),
    ),
    Faulty(
        "percent over 100",
        'residue_cover = "70 +/- 8 %"',
        'residue_cover = "130 %"',
        "130 %",
        "field, residue_cover",
        ("130 %", "0 % to 100 %"),
    ),
    Faulty(
        "spread over 100 percent",
        'residue_cover = "70 +/- 8 %"',
        'residue_cover = "95 +/- 8 %"',
        "95 +/- 8",
        "field, residue_cover",
        ("95 +/- 8 %", "103 %", "100 %"),
    ),
    Faulty("wrong currency in one price", 'wage = ""', "", "", "", ()),
    Faulty("not a number", "ph = 7.4", "ph = nan", "ph = nan", "slurry, ph", ("nan", "4.5", "10")),
    Faulty("infinite", "ph = 7.4", "ph = inf", "ph = inf", "slurry, ph", ("inf", "4.5", "10")),
    Faulty("nan as text", 'dose = "30 t/ha"', 'dose = "nan t/ha"', "nan t/ha", "slurry, dose", ("nan t/ha", "number")),
    Faulty(
        "number beyond measure",
        'dose = "30 t/ha"',
        'dose = "1e999 t/ha"',
        "1e999",
        "slurry, dose",
        ("beyond anything",),
    ),
    Faulty(
        "infinite where a unit is needed", 'dose = "30 t/ha"', "dose = inf", "dose = inf", "slurry, dose", ("no unit",)
    ),
    Faulty(
        "number that reads two ways",
        'population = "92000 seeds/ha"',
        'population = "92,000 seeds/ha"',
        "92,000",
        "crop, population",
        ("two ways", "92000"),
    ),
    Faulty(
        "limits the wrong way round",
        'moisture = "22 +/- 3 %"',
        'moisture = "25..19 %"',
        "25..19",
        "field, moisture",
        ("smaller one first",),
    ),
    Faulty(
        "truth value for a quantity",
        'slope = "1 %"',
        "slope = true",
        "slope = true",
        "field, slope",
        ("text with its unit",),
    ),
    Faulty(
        "list for a quantity", 'slope = "1 %"', 'slope = ["1 %"]', "slope = [", "field, slope", ("text with its unit",)
    ),
)
