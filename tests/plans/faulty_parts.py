"""Plans with one fault each, in what must agree: names, chains of passes, parts, and whether they fit together."""

from __future__ import annotations

from plans.faulty import DEMO, Faulty

__all__ = ["FAULTY_PARTS"]

_BASIS = DEMO[DEMO.index('basis = "fresh"') : DEMO.index("ammoniacal_n")]
_STRIP_DEPTH = 'depth = "22 +/- 1.5 cm"'
_PLOUGH_DEPTH = 'depth = "23 +/- 2 cm"'
_STRIP_TRACTOR = 'tractor = "tractor 230"\n  machines = ["tanker, 16 m3", "strip tiller, 8 rows"]'
_HOSE = 'machines = ["tanker, 16 m3", "hose boom, 15 m"]'
_FIRST_SYSTEM = '[[system]]\nname = "plough"'
_FIRST_SOWING = '  places = ["seed"]\n  contractor = "maize sowing, asked"\n\n[[system]]\nname = "cultivator"'
_SECOND_PLOUGHING = """  [[system.pass]]
  tractor = "tractor 125"
  machines = ["plough, 5 furrows"]
  depth = "9 cm"
  speed = "7 km/h"

"""
_FIRST_SEEDBED = 'machines = ["seedbed combination, 5 m"]\n'

NAMES = (
    Faulty(
        "an unknown tractor",
        'tractor = "tractor 125"',
        'tractor = "tractor 124"',
        '"tractor 124"',
        "pass 2, tractor",
        ('mean "tractor 125"',),
    ),
    Faulty(
        "an unknown machine",
        '["plough, 5 furrows"]',
        '["plough 5 furrow"]',
        '["plough 5',
        "pass 2, machines",
        ('mean "plough, 5 furrows"',),
    ),
    Faulty(
        "an unknown baseline", 'baseline = "plough"', 'baseline = "plow"', "baseline =", "baseline", ('mean "plough"',)
    ),
    Faulty(
        "a baseline like nothing",
        'baseline = "plough"',
        'baseline = "zzz"',
        "baseline =",
        "baseline",
        ("the systems are: plough, cultivator",),
    ),
    Faulty(
        "two systems of one name",
        'name = "cultivator"\n',
        'name = "plough"\n',
        'name = "plough"\nabout = "Trailing hose, mixed',
        "system 2",
        ('two are called "plough"',),
    ),
    Faulty(
        "two machines of one name",
        'name = "cultivator, 3 m"',
        'name = "plough, 5 furrows"',
        'name = "plough, 5 furrows"\nkind = "cultivator',
        "machine 2",
        ("two are called",),
        False,
    ),
)

CHAINS = (
    Faulty(
        "slurry without a tanker",
        _HOSE,
        'machines = ["hose boom, 15 m"]',
        'places = ["slurry"]',
        "pass 1, places",
        ("carries slurry", "couple a slurry tanker"),
    ),
    Faulty(
        "slurry without a boom",
        _HOSE,
        'machines = ["tanker, 16 m3", "plough, 5 furrows"]',
        'places = ["slurry"]',
        "pass 1, places",
        ("puts slurry on the ground",),
        False,
    ),
    Faulty(
        "a tanker alone",
        _HOSE,
        'machines = ["tanker, 16 m3"]',
        'machines = ["tanker, 16 m3"]',
        "pass 1, machines",
        ("works the ground",),
        False,
    ),
    Faulty(
        "widths that differ",
        _HOSE,
        'machines = ["tanker, 16 m3", "hose boom, 15 m", "mixing injector, 5 m"]',
        'machines = ["tanker, 16 m3", "hose boom',
        "pass 1, machines",
        ("equally wide", "15 m", "5 m"),
        False,
    ),
    Faulty(
        "nothing sown",
        _FIRST_SOWING,
        _FIRST_SOWING.split("\n", 1)[1],
        _FIRST_SYSTEM,
        'system 1 "plough"',
        ("sows nothing", 'places = ["seed"]'),
    ),
    Faulty(
        "sown twice",
        _FIRST_SEEDBED,
        'machines = ["planter, 8 rows"]\n  places = ["seed"]\n',
        _FIRST_SYSTEM,
        'system 1 "plough"',
        ("sows 2 times",),
    ),
    Faulty(
        "sown without a planter",
        'after = "1 h"\n',
        'after = "1 h"\n  places = ["seed"]\n',
        'places = ["seed"]',
        "pass 2, places",
        ("nothing in this outfit sows",),
        False,
    ),
    Faulty(
        "tilled after sowing",
        _FIRST_SOWING,
        _FIRST_SOWING.replace("\n\n", "\n" + _SECOND_PLOUGHING),
        'machines = ["plough, 5 furrows"]\n  depth = "9 cm"',
        "pass 5, machines",
        ("after sowing in pass 4",),
    ),
    Faulty(
        "slurry placed twice",
        _FIRST_SEEDBED,
        'machines = ["tanker, 16 m3", "mixing injector, 5 m"]\n  places = ["slurry"]\n',
        '["slurry"]\n  depth = "8',
        "pass 3, places",
        ("placed twice", "pass 1"),
    ),
    Faulty(
        "no time of covering",
        '  after = "1 h"\n',
        "",
        '  [[system.pass]]\n  tractor = "tractor 125"',
        "pass 2, after",
        ("covers the slurry", 'after = "1 h"'),
    ),
    Faulty(
        "counted from no slurry",
        'speed = "6 km/h"\n  places = ["slurry"]',
        'speed = "6 km/h"\n  after = "1 h"\n  places = ["slurry"]',
        'after = "1 h"',
        "pass 1, after",
        ("no slurry from an earlier pass",),
    ),
    Faulty(
        "a plough without depth",
        f"  {_PLOUGH_DEPTH}\n",
        "",
        '  [[system.pass]]\n  tractor = "tractor 125"',
        "pass 2, depth",
        ("a mouldboard plough needs depth",),
    ),
    Faulty(
        "the same machine twice",
        '["plough, 5 furrows"]',
        '["plough, 5 furrows", "plough, 5 furrows"]',
        '["plough, 5 furrows", ',
        "pass 2, machines",
        ("same entry twice",),
    ),
    Faulty(
        "slurry shows where none is placed",
        _PLOUGH_DEPTH,
        _PLOUGH_DEPTH + '\n  visible_slurry = "2 %"',
        'visible_slurry = "2 %"',
        "pass 2, visible_slurry",
        ("places no slurry",),
    ),
)

PARTS = (
    Faulty(
        "rated power given twice",
        'power = "125 kW"',
        'power = "125 kW"\nengine_power = "140 kW"',
        'power = "125 kW"',
        "tractor 1",
        ("rated power once",),
    ),
    Faulty(
        "no rated power", 'power = "125 kW"\n', "", "[[tractor]]", "tractor 1", ("rated power once", "engine_power")
    ),
    Faulty(
        "a tanker without a tank",
        'tank = "16 m3"\n',
        "",
        '[[machine]]\nname = "tanker',
        'machine 4 "tanker, 16 m3"',
        ("a slurry tanker needs tank",),
    ),
    Faulty(
        "width and rows",
        "rows = 8\nstrip_width",
        'rows = 8\nwidth = "6 m"\nstrip_width',
        'width = "6 m"',
        '"strip tiller, 8 rows"',
        ("one of the two",),
    ),
    Faulty(
        "a strip tiller without a tine",
        'tine_width = "4 cm"\n',
        "",
        '[[machine]]\nname = "strip tiller',
        '"strip tiller, 8 rows"',
        ("needs tine_width",),
    ),
    Faulty(
        "a strip wider than the rows",
        'row_spacing = "75 cm"',
        'row_spacing = "25 cm"',
        "strip_width",
        '"strip tiller, 8 rows"',
        ("does not fit", "25 cm"),
    ),
    Faulty(
        "a planter with a width",
        'rows = 8\nprice = "58000',
        'width = "6 m"\nprice = "58000',
        '[[machine]]\nname = "planter',
        '"planter, 8 rows"',
        ("row by row",),
    ),
    Faulty("a field a metre wide", 'area = "9.6 ha"', 'area = "0.03 ha"', "length =", "field, length", ("0.9 m wide",)),
    Faulty(
        "more ammoniacal N than total N",
        '"1.9 +/- 0.2 kg NH4-N/t"',
        '"4.5 kg NH4-N/m3"',
        "ammoniacal_n",
        "slurry, ammoniacal_n",
        ("more than", "NH4 against NH4-N"),
    ),
    Faulty(
        "ammoniacal N over total N in a few draws",
        '"1.9 +/- 0.2 kg NH4-N/t"',
        '"3.4 +/- 0.5 kg NH4-N/t"',
        "ammoniacal_n",
        "slurry, ammoniacal_n",
        ("of the draws", "spreads"),
    ),
    Faulty(
        "fresh contents on a dry basis",
        'basis = "fresh"',
        'basis = "dry"',
        "total_n",
        "slurry, total_n",
        ("far too little", 'basis = "fresh"'),
    ),
    Faulty(
        "contents of dry matter on a fresh basis",
        '"3.6 +/- 0.3 kg N/t"',
        '"50 g N/kg"',
        "total_n",
        "slurry, total_n",
        ("far too much", 'basis = "dry"'),
    ),
    Faulty(
        "per volume on a dry basis",
        _BASIS,
        _BASIS.replace("fresh", "dry").replace("3.6 +/- 0.3 kg N/t", "50 kg N/m3"),
        "total_n",
        "slurry, total_n",
        ("is per volume", "45 g/kg"),
    ),
    Faulty(
        "no weather file there",
        'file = "weather.csv"',
        'file = "wether.csv"',
        "wether",
        "weather, file",
        ("no weather file wether.csv",),
    ),
    Faulty(
        "a weather file without columns",
        'file = "weather.csv"',
        'file = "plan.toml"',
        '"plan.toml"',
        "weather, file",
        ("no column time, air_temperature_degc, wind_m_s",),
    ),
    Faulty(
        "hours that the weather file lacks",
        "2013-04-17T09:00:00",
        "2012-04-17T09:00:00",
        "start =",
        "weather, start",
        ("lacks 10 of the 10 hours",),
    ),
    Faulty(
        "a weather file and a typical hour",
        'file = "weather.csv"',
        'file = "weather.csv"\nwind = "3 m/s"',
        "file =",
        "weather, file",
        ("not both",),
    ),
    Faulty(
        "hours of no weather file",
        'file = "weather.csv"',
        'air_temperature = "12 degC"\nwind = "3 m/s"',
        "start =",
        "weather, start",
        ("belongs to a weather file",),
        False,
    ),
    Faulty(
        "no weather at all",
        DEMO[DEMO.index('file = "weather') : DEMO.index("wind_height")],
        "",
        "[weather]",
        "weather",
        ("typical hour",),
    ),
    Faulty(
        "no height of the wind", 'wind_height = "10 m"', "", "[weather]", "weather, wind_height", ("at which height",)
    ),
    Faulty(
        "a limit on N in phosphate",
        '"170 kg N/ha"',
        '"60 kg P2O5/ha"',
        '"60 kg P2O5/ha"',
        "limit 1, at_most",
        ("is a mass of N",),
    ),
    Faulty(
        "a limit on phosphate, of what",
        'of = "total N from slurry"',
        'of = "phosphate from slurry"',
        "at_most",
        "limit 1, at_most",
        ("say P or P2O5",),
    ),
    Faulty(
        "a distance at most",
        'at_least = "10 m"',
        'at_most = "10 kg/ha"',
        '[[limit]]\nof = "distance',
        "limit 2, at_least",
        ("needs at_least",),
    ),
)

FITS = (
    Faulty(
        "a tractor too small",
        _STRIP_TRACTOR,
        _STRIP_TRACTOR.replace("230", "125"),
        'tractor = "tractor 125"\n  machines = ["tanker, 16 m3", "strip',
        "pass 1, tractor",
        ("too small", "needed at the take-off", "125 kW there", "no faster than", "larger"),
    ),
    Faulty(
        "a band above the seed",
        _STRIP_DEPTH,
        'depth = "13 cm"',
        'depth = "13 cm"',
        'system 3 "strip", pass 1, depth',
        ("reach up to the seed", "go deeper"),
    ),
    Faulty(
        "a dose that the slot cannot hold",
        _STRIP_DEPTH,
        'depth = "9 cm"',
        'depth = "9 cm"',
        "pass 1, depth",
        ("slot cannot hold the dose", "less slurry"),
        False,
    ),
    Faulty(
        "a tine above the seed",
        _STRIP_DEPTH,
        'depth = "2 cm"',
        'depth = "2 cm"',
        "pass 1, depth",
        ("not reach below the seed", "go deeper"),
    ),
    Faulty(
        "a soil too wet",
        '"22 +/- 3 %"',
        '"44 %"',
        "moisture",
        "field, moisture",
        ("no room for slurry", "44 % water", "wait for drier soil"),
    ),
    Faulty(
        "a soil too wet in a few draws",
        '"22 +/- 3 %"',
        '"36 +/- 3 %"',
        "moisture",
        "field, moisture",
        ("of the draws", "narrow the spread"),
    ),
    Faulty(
        "more water than pores",
        '"22 +/- 3 %"',
        '"60 %"',
        "moisture",
        "field, moisture",
        ("does not fit", "mass share times bulk density"),
    ),
)

FAULTY_PARTS = (*NAMES, *CHAINS, *PARTS, *FITS)
