"""Plans with one fault each, in values, words and keys: the demo plan after one change of its text, and what the message must say.

`at` is a piece of the changed text; the fault must stand on the line where that piece first appears.  Where it is empty
the fault is one of the file as a whole and has no line.  `alone` is False where one change makes several faults;
`more` are further changes without which there would be no fault.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from importlib.resources import files

__all__ = ["DEMO", "FAULTY", "Faulty", "one_quantity"]

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
    more: tuple[tuple[str, str], ...] = ()

    @property
    def text(self) -> str:
        """The text of the faulty plan."""
        text = DEMO
        for old, new in ((self.old, self.new), *self.more):
            assert old in text, f"{self.name}: the demo plan no longer holds {old!r}"
            text = text.replace(old, new, 1)
        return text

    @property
    def line(self) -> int | None:
        """The line on which the fault must be reported."""
        if not self.at:
            return None
        return self.text.count("\n", 0, self.text.index(self.at)) + 1


def one_quantity(name: str, key: str, new: str, *words: str, where: str = "") -> Faulty:
    """Return the fault of one quantity whose text is exchanged."""
    start = DEMO.index(f"\n{where}") if where else 0
    found = re.compile(rf"^ *({key} = )", re.MULTILINE).search(DEMO, start)
    assert found is not None, key
    start = found.start(1)
    old = DEMO[start : DEMO.index("\n", start)].split("   #")[0].rstrip()
    return Faulty(name, old, f"{key} = {new}", f"{key} = {new}", key, words)


_PLOUGH_DEPTH = 'depth = "23 +/- 2 cm"'
_FIRST_SYSTEM = '[[system]]\nname = "plough"'
_FIRST_PASSES = DEMO[DEMO.index("  [[system.pass]]") : DEMO.index('[[system]]\nname = "cultivator"')]
_LATER_SYSTEMS = DEMO[DEMO.index('[[system]]\nname = "cultivator"') :]
_SYSTEMS = DEMO[DEMO.index(_FIRST_SYSTEM) :]

QUANTITIES = (
    one_quantity("a bare number", "depth", "23", "23 has no unit", '"22 cm"'),
    one_quantity("text without a unit", "speed", '"6"', "no unit", "km/h, m/s, mph"),
    one_quantity("a unit that nobody knows", "depth", '"23 furlongs"', "furlongs", "not a unit"),
    one_quantity("a mass for a depth", "depth", '"23 kg"', "is a mass", "cm, mm, m"),
    one_quantity("a depth below nil", "depth", '"-23 cm"', '"-23 cm" cannot be', "from 1 cm to 80 cm"),
    one_quantity("a depth of nil", "depth", '"0 cm"', "from 1 cm"),
    one_quantity("plain gal", "dose", '"3200 gal/ac"', "US gal or imp gal"),
    one_quantity("plain tons", "dose", '"13 tons/ac"', "US ton", "long ton"),
    one_quantity("plain hp", "power", '"170 hp"', "kW", "PS"),
    one_quantity("P or P2O5 not said", "phosphorus", '"1.4 kg/t"', "of what?", "P2O5 or P"),
    one_quantity("K or K2O not said", "potassium", '"3.8 kg/t"', "of what?", "K2O or K"),
    one_quantity("total N as ammoniacal N", "total_n", '"3.6 kg NH4-N/t"', "names NH4-N", "N or none"),
    one_quantity("N need as phosphate", "n_need", '"150 kg P2O5/ha"', "names P2O5", "N or none"),
    one_quantity("a dose far too large", "dose", '"400 t/ha"', "400 t/ha", "150 t/ha"),
    one_quantity("percent over 100", "residue_cover", '"130 %"', "130 %", "0 % to 100 %"),
    one_quantity("a spread over 100 percent", "residue_cover", '"95 +/- 8 %"', "from 87 to 103 %", "100 %"),
    one_quantity("wages by the day", "labour", '"240 EUR/day"', "no fixed number of hours", '"24 EUR/h"'),
    one_quantity("use of a tractor in days", "hours", '"60 day/year"', "no fixed number of hours", where="[[tractor]]"),
    one_quantity("another currency in one price", "labour", '"24 GBP/h"', "in GBP, EUR is needed", "never converted"),
    one_quantity("a currency not in use", "currency", '"XXQ"', "no currency in use", '"EUR"'),
    one_quantity("a currency in small letters", "currency", '"eur"', "three capital letters"),
    one_quantity("not a number", "ph", "nan", "nan", "from 4.5 to 10"),
    one_quantity("infinite", "ph", "inf", "inf", "from 4.5 to 10"),
    one_quantity("pH as text", "ph", '"7.4"', "from 4.5 to 10", "without quotes"),
    one_quantity("nan as text", "dose", '"nan t/ha"', "nan t/ha", "number and unit"),
    one_quantity("infinite where a unit is needed", "dose", "inf", "inf has no unit"),
    one_quantity("a number beyond measure", "dose", '"1e999 t/ha"', "beyond anything that can be measured"),
    one_quantity("a number that reads two ways", "population", '"92,000 seeds/ha"', "two ways", "92000"),
    one_quantity("limits the wrong way round", "moisture", '"25..19 %"', "smaller one first"),
    one_quantity("a spread where one figure is needed", "width", '"2.0 +/- 0.1 m"', "one figure is needed"),
    one_quantity("truth value for a quantity", "slope", "true", "text with its unit", '"1 %"'),
    one_quantity("list for a quantity", "slope", '["1 %"]', "text with its unit", '"1 %"'),
    one_quantity("date for a quantity", "slope", "2026-04-01", "text with its unit", '"1 %"'),
    one_quantity("a quantity of ten thousand digits", "depth", f'"{"2" * 10_000} cm"', "too long", "at most 200"),
)

WORDS_AND_KINDS = (
    one_quantity("digestate", "kind", '"digestate"', "no kind of slurry", "dairy cattle", where="[slurry]"),
    one_quantity(
        "another spelling of a kind", "kind", '"moldboard plow"', 'mean "mouldboard plough"', where="[[machine]]"
    ),
    one_quantity("a number for a kind", "kind", "3", "kind of machine as text", "strip tiller", where="[[machine]]"),
    one_quantity("a texture that nobody knows", "texture", '"lome"', 'mean "loam"'),
    one_quantity("a drive that nobody knows", "drive", '"4wd"', "4wd", '"four wheel drive"'),
    one_quantity("a surface that nobody knows", "surface", '"muddy"', '"firm"'),
    one_quantity("a date in quotes", "date", '"2026-03-01"', "2026-03-31", "without quotes"),
    one_quantity("a date that is none", "date", "20260301", "2026-03-31", "without quotes"),
    one_quantity("a time in quotes", "start", '"2013-04-17T09:00:00+02:00"', "without quotes"),
    one_quantity("no time zone", "start", "2013-04-17T09:00:00", "say the time zone", "+02:00"),
    one_quantity("a year that cannot be counted from", "start", "0001-01-01T00:00:00+02:00", "check the year"),
    one_quantity("hours as text", "hours", '"10"', "whole number from 1 to 240", "without quotes"),
    one_quantity("half an hour too many", "hours", "10.5", "whole number from 1 to 240"),
    one_quantity("yes for true", "invented", '"yes"', "true or false"),
    one_quantity("rows of a number without end", "rows", "1" + "0" * 400, "whole number from 1 to 36"),
    one_quantity("list where text is expected", "name", '["Long Acre"]', "text, in double quotes"),
    one_quantity("number where text is expected", "name", "7", "text, in double quotes"),
    one_quantity("a name of nothing", "name", '"  "', "is empty"),
    one_quantity("a name of ten thousand letters", "name", f'"{"t" * 10_000}"', "longer than 60 characters"),
    one_quantity("control characters in a name", "name", '"tractor\\u001b[31m"', "cannot be printed", "number 27"),
    one_quantity("text where a list is expected", "machines", '"plough, 5 furrows"', "must be a list", "machines = ["),
    one_quantity("a thing to place that is none", "places", '["slury"]', '"slury"', '"slurry"'),
)

KEYS = (
    Faulty("an unknown key", _PLOUGH_DEPTH, 'dpeth = "23 cm"', "dpeth", "pass 2, dpeth", ("no key", 'mean "depth"')),
    Faulty("an unknown table", "[crop]", "[craps]\na = 1\n[crop]", "[craps]", "craps", ("no key", 'mean "crop"')),
    Faulty(
        "a key from nowhere",
        "invented = true",
        "zzz = 1",
        "zzz",
        "zzz",
        ("no key", "known: band, baseline, contractor, crop"),
    ),
    Faulty("a key of ten thousand letters", _PLOUGH_DEPTH, "d" * 10_000 + " = 1", "ddd", "ddd...", ("no key", "depth")),
    Faulty("control characters in a key", _PLOUGH_DEPTH, '"a\\u0007b" = 1', '"a\\u', "a\x07b", ("no key",)),
    Faulty("a table named in the plural", "[[limit]]", "[[limits]]", "[[limits]]", "limits", ('mean "limit"',), False),
    Faulty(
        "no analysis",
        'ammoniacal_n = "1.9 +/- 0.2 kg NH4-N/t"\n',
        "",
        "[slurry]",
        "slurry, ammoniacal_n",
        ("is missing", "NH4-N/m3", "never computed from dry matter"),
    ),
    Faulty("no name", 'name = "tractor 125"\n', "", "[[tractor]]", "tractor 1, name", ("is missing",)),
    Faulty("no weather", "[weather]", "[weather_then]", "", "weather", ("is missing", "write [weather]"), False),
    Faulty("no passes", _FIRST_PASSES, "\n", _FIRST_SYSTEM, 'system 1 "plough", pass', ("[[system.pass]]",)),
    Faulty("one system only", _LATER_SYSTEMS, "", _FIRST_SYSTEM, "system", ("1 system", "at least 2")),
    Faulty(
        "one table for all systems", _SYSTEMS, '[system]\nname = "a"\n', "[system]", "system", ("[[system]] above",)
    ),
    Faulty("text for a table", "[field]", 'field = "a"\n[feld]', 'field = "a"', "field", ("under [field]",), False),
    Faulty(
        "no machines in a pass",
        'machines = ["plough, 5 furrows"]',
        "machines = []",
        "machines = []",
        "machines",
        ("at least 1",),
    ),
)

NOT_TOML = (
    Faulty(
        "a text that is not closed", 'cost?"', "cost?", "question", "", ("not closed on this line", "double quotes")
    ),
    Faulty(
        "a key that stands twice",
        'slope = "1 %"',
        'slope = "1 %"\nslope = "2 %"',
        'slope = "2 %"',
        "",
        ("stands twice",),
    ),
    Faulty("a table that stands twice", "[crop]", "[field]\n[crop]", "[field]\n[crop]", "", ("stands twice",)),
    Faulty("a quantity without quotes", 'slope = "1 %"', "slope = 1 %", "slope", "", ("double quotes",)),
    Faulty("a header without its bracket", "[field]", "[field", "[field", "", ("in brackets",)),
    Faulty("a sentence instead of a key", "[crop]", "the crop is maize\n[crop]", "the crop is", "", ("equals sign",)),
    Faulty("a backslash in a text", '"10 m"', r'"C:\weather"', r"C:\weather", "", ("backslash",)),
    Faulty("a raw control character", "tractor 125", "tractor \x07 125", "\x07", "", ("cannot be printed",)),
    Faulty(
        "a number of thousands of digits",
        "rows = 8",
        "rows = 1" + "0" * 5_000,
        "rows = 10",
        "",
        ("thousands of digits",),
    ),
    Faulty(
        "lists in lists without end", "rows = 8", "rows = " + "[" * 5_000 + "]" * 5_000, "", "", ("too many times",)
    ),
    Faulty(
        "tables in tables without end",
        "rows = 8",
        "rows = " + "{a=" * 900 + "1" + "}" * 900,
        "",
        "",
        ("too many times",),
    ),
)

FAULTY = (*QUANTITIES, *WORDS_AND_KINDS, *KEYS, *NOT_TOML)
