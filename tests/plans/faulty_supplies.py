"""Plans with one fault each, in supplies, tankers, contractors, readings and the farm.

The supply by hose, which no pass of the demo plan uses, is exchanged for one that is being tried.
"""

from __future__ import annotations

from collections.abc import Iterator

from plans.faulty import DEMO, Faulty, one_quantity

__all__ = ["FAULTY_SUPPLIES", "WAYS", "supplied"]

_TRIED = '[[supply]]\nname = "tried"\n'
_HOSE_LINE = DEMO[DEMO.index('[[supply]]\nname = "hose line"') : DEMO.index("[[contractor]]")]
_SUPPLIES = DEMO[DEMO.index("[[supply]]") : DEMO.index("[[contractor]]")]
_CONTRACTORS = DEMO[DEMO.index("[[contractor]]") : DEMO.index("[[system]]")]
_HOSE_BOOM = '  machines = ["tanker, 16 m3", "hose boom, 15 m"]\n'
_FIRST_SUPPLY = '  places = ["slurry"]\n  supply = "two feeders"\n  contractor = "slurry by hose boom, asked"\n'
_SLURRY_RATE = '  contractor = "slurry by hose boom, asked"\n'
_PLOUGHING_RATE = '  contractor = "ploughing, asked"\n'
_TANKER = '[[machine]]\nname = "tanker, 16 m3"'
_FILLING = 'filling = "5 m3/min"                # at the store, where it drives there itself\n'
_PLOUGH = 'kind = "mouldboard plough"\nwidth = "2.0 m"\n'
_FIRST_RATE = 'date = 2026-02-10\ntax = "without"\nfuel = "in"\n'

WAYS = {
    "feeders": {"tractor": '"tractor 160"', "machine": '"feeder tanker, 24 m3"', "vehicles": "2"},
    "field container": {
        "tractor": '"tractor 160"',
        "machine": '"feeder tanker, 24 m3"',
        "vehicles": "2",
        "container": '"60 m3"',
        "rate": '"12 EUR/h"',
    },
    "hose": {"flow": '"110 m3/h"', "hose": '"340 m"', "set_up": '"2 h"', "rate": '"95 EUR/h"'},
}
"""What each way of supply needs."""

_MAY = {"filling": '"6 m3/min"', "transfer": '"7 m3/min"'}
_KEYS = {key: value for needs in (*WAYS.values(), _MAY) for key, value in needs.items()}


def _block(way: str, keys: dict[str, str]) -> str:
    return f'{_TRIED}way = "{way}"\n' + "".join(f"{key} = {value}\n" for key, value in keys.items()) + "\n"


def supplied(way: str, **more: str) -> str:
    """Return the demo plan with a whole supply of one way."""
    return DEMO.replace(_HOSE_LINE, _block(way, {**WAYS[way], **more}), 1)


def _each_way() -> Iterator[Faulty]:
    """Yield every way of supply without each of the keys that it needs, and with each that is foreign to it."""
    for way, needs in WAYS.items():
        for key in needs:
            block = _block(way, {k: v for k, v in needs.items() if k != key})
            words = (f'way = "{way}"', f"needs {key} = ")
            yield Faulty(f"{way} without {key}", _HOSE_LINE, block, _TRIED, f"{key}", words)
        for key in _KEYS.keys() - needs.keys() - (_MAY.keys() if way != "hose" else set()):
            block = _block(way, {**needs, key: _KEYS[key]})
            words = (f"{key} has no meaning", f'way = "{way}"', "leave it out")
            at = f"{key} = {_KEYS[key]}\n\n"
            yield Faulty(f"{way} with {key}", _HOSE_LINE, block, at, f"{key}", words)


def _tried(name: str, way: str, key: str, value: str, *words: str, alone: bool = True) -> Faulty:
    """Return the fault of a supply in which one key is exchanged."""
    block = _block(way, {**WAYS[way], key: value})
    return Faulty(name, _HOSE_LINE, block, f"{key} = {value}\n", f", {key}", words, alone)


EACH_WAY = tuple(sorted(_each_way(), key=lambda faulty: faulty.name))

SUPPLIES = (
    _tried("an unknown tractor of a supply", "feeders", "tractor", '"tractor 161"', 'mean "tractor 160"'),
    _tried("a tractor of a supply like none", "feeders", "tractor", '"zzz"', 'there are: "tractor 125", "tractor 160"'),
    _tried("an unknown feeder", "feeders", "machine", '"feeder tanker 24"', 'mean "feeder tanker, 24 m3"'),
    _tried("a feeder like none", "field container", "machine", '"zzz"', 'there are: "plough, 5 furrows", "cult'),
    _tried("a feeder without a tank", "feeders", "machine", '"cultivator, 3 m"', "carries no slurry", "slurry tanker"),
    _tried(
        "a container smaller than a feeder", "field container", "container", '"20 m3"', "20 m3 does not hold", "24 m3"
    ),
    Faulty("a way that is none", 'way = "hose"', 'way = "pipe"', 'way = "pipe"', "way", ('"pipe"', '"hose"')),
    _tried("no feeders at all", "feeders", "vehicles", "0", "whole number from 1 to 20"),
    _tried("half a feeder", "feeders", "vehicles", "1.5", "whole number from 1 to 20"),
    _tried("a hose of nothing", "hose", "hose", '"3 m"', "from 20 m to 3000 m"),
    _tried("a flow by the minute", "hose", "flow", '"110 m3/min"', "cannot be", "400 m3/h"),
    Faulty(
        "two supplies of one name",
        'name = "hose line"',
        'name = "two feeders"',
        'name = "two feeders"\nway = "hose"',
        "supply 2",
        ('two are called "two feeders"',),
    ),
    Faulty(
        "an unknown supply",
        'supply = "two feeders"',
        'supply = "two feeder"',
        'supply = "two feeder"',
        "pass 1, supply",
        ('no supply is called "two feeder"', 'mean "two feeders"'),
    ),
    Faulty(
        "a supply like none",
        'supply = "two feeders"',
        'supply = "zzz"',
        'supply = "zzz"',
        "pass 1, supply",
        ('there are: "two feeders", "hose line"',),
    ),
    Faulty(
        "a supply where there is none",
        _SUPPLIES,
        "",
        'supply = "two feeders"',
        "pass 1, supply",
        ('no supply is called "two feeders"', "there is none"),
        False,
    ),
    Faulty(
        "a supply of a pass without slurry",
        _PLOUGHING_RATE,
        _PLOUGHING_RATE + '  supply = "two feeders"\n',
        '  supply = "two feeders"\n  after',
        "pass 2, supply",
        ("places no slurry", "leave it out"),
    ),
    Faulty(
        "a tanker behind a hose",
        _FIRST_SUPPLY,
        _FIRST_SUPPLY.replace("two feeders", "hose line"),
        _HOSE_BOOM,
        "pass 1, machines",
        ('"hose line" brings the slurry through a hose', 'leave "tanker, 16 m3" out'),
    ),
    Faulty(
        "feeders without a tanker to fill",
        _HOSE_BOOM,
        '  machines = ["hose boom, 15 m"]\n',
        '  places = ["slurry"]',
        "pass 1, places",
        ("nothing in this outfit carries slurry", 'way = "hose"'),
    ),
)

TANKERS = (
    Faulty(
        "a tanker that nothing fills",
        _FIRST_SUPPLY,
        _FIRST_SUPPLY.replace('  supply = "two feeders"\n', ""),
        _TANKER,
        'machine 4 "tanker, 16 m3", filling',
        ('how "tanker, 16 m3" is filled', "filling =", "refill =", "name a supply"),
        more=((_FILLING, ""),),
    ),
    Faulty(
        "no price of delivery",
        _FIRST_SUPPLY,
        _FIRST_SUPPLY.replace('  supply = "two feeders"\n', ""),
        "[slurry]",
        "slurry, delivery",
        ('"tanker, 16 m3" is met in the field', 'delivery = "1.60 EUR/m3"'),
        more=((_FILLING, 'refill = "6 min"\n'),),
    ),
    Faulty(
        "more slurry than a pump moves",
        'speed = "6 km/h"\n',
        'speed = "28 km/h"\n',
        'speed = "28 km/h"',
        "pass 1, speed",
        ("30 t/ha at 28 km/h and 15 m wide", "20.6 m3/min", "more than any pump", "go slower"),
    ),
)

CONTRACTORS = (
    Faulty(
        "an unknown contractor",
        _PLOUGHING_RATE,
        '  contractor = "ploughing asked"\n',
        'contractor = "ploughing asked"',
        "pass 2, contractor",
        ("no contractor's rate", 'mean "ploughing, asked"'),
    ),
    Faulty(
        "a contractor like none",
        _PLOUGHING_RATE,
        '  contractor = "zzz"\n',
        'contractor = "zzz"',
        "pass 2, contractor",
        ('there are: "ploughing, asked", "slurry by',),
    ),
    Faulty(
        "a contractor where there is none",
        _CONTRACTORS,
        "",
        _PLOUGHING_RATE,
        "pass 2, contractor",
        ('called "ploughing, asked"; there is none',),
        False,
    ),
    Faulty(
        "a rate per m3 of a pass without slurry",
        _PLOUGHING_RATE,
        _SLURRY_RATE,
        _SLURRY_RATE + "  after",
        "pass 2, contractor",
        ("rate per m3 of slurry", "places none"),
    ),
    Faulty(
        "a rate with tax among prices without",
        _FIRST_RATE,
        _FIRST_RATE.replace("without", "with"),
        '[[contractor]]\nname = "ploughing, asked"',
        "contractor 1",
        ("this rate is with tax", "the plan are without", 'value-added tax, e.g. tax_rate = "19 %"'),
    ),
    Faulty(
        "rates without tax among prices with",
        'tax = "without"\ndiesel',
        'tax = "with"\ndiesel',
        '[[contractor]]\nname = "maize sowing, asked"',
        "contractor 4",
        ("this rate is without tax", "the plan are with;"),
        False,
    ),
    Faulty(
        "a rate by the day",
        'rate = "104 EUR/ha"',
        'rate = "800 EUR/day"',
        '"800 EUR/day"',
        "contractor 1",
        ("800 EUR/day", "no fixed number of hours", "in hours"),
    ),
    Faulty(
        "a rate for nothing",
        'rate = "104 EUR/ha"',
        'rate = "0 EUR/ha"',
        '"0 EUR/ha"',
        "contractor 1",
        ("cannot be", "above 0 EUR/ha"),
    ),
    Faulty(
        "diesel neither in nor out",
        'fuel = "in"',
        'fuel = "half"',
        'fuel = "half"',
        "contractor 1",
        ('"half" will not do', '"in"', '"out"'),
    ),
    Faulty(
        "two contractors of one name",
        'name = "maize sowing, asked"',
        'name = "ploughing, asked"',
        'name = "ploughing, asked"\nrate = "62',
        "contractor 4",
        ("two are called",),
        False,
    ),
)


def _reading(name: str, new: str, at: str, key: str, *words: str, more: tuple[tuple[str, str], ...] = ()) -> Faulty:
    return Faulty(name, _PLOUGH, _PLOUGH + new, at, key, words, more=more)


_PLOUGH_HEAD = '[[machine]]\nname = "plough, 5 furrows"'
READINGS = (
    _reading(
        "a reading without its depth",
        'measured_draft = "29 kN"\nmeasured_speed = "7 km/h"\n',
        _PLOUGH_HEAD,
        "machine 1",
        "pull, depth and speed together",
        'measured_depth = "22 cm"',
    ),
    _reading(
        "a reading without its speed",
        'measured_draft = "29 kN"\nmeasured_depth = "22 cm"\n',
        _PLOUGH_HEAD,
        "machine 1",
        'measured_speed = "7 km/h"',
    ),
    _reading(
        "a reading without its pull",
        'measured_depth = "22 cm"\nmeasured_speed = "7 km/h"\n',
        _PLOUGH_HEAD,
        "machine 1",
        "measured_draft = ",
    ),
    Faulty(
        "a reading of a boom",
        'kind = "trailing hose boom"\n',
        'kind = "trailing hose boom"\nmeasured_draft = "9 kN"\n',
        'measured_draft = "9 kN"',
        "measured_draft",
        ("no draft is worked out for a trailing hose boom", "leave it out"),
    ),
    _reading("a pull in kilograms", 'measured_draft = "2900 kg"\n', "2900 kg", "measured_draft", "kN"),
    _reading("an overlap of more than half", 'overlap = "1.2 m"\n', '"1.2 m"', "overlap", "half of the 2 m", "join"),
    _reading("a turn in minutes without end", 'turn = "9 min"\n', '"9 min"', "turn", "cannot be", "300 s"),
    Faulty(
        "a boom narrower than its joins",
        'width = "15 m"',
        'width = "1.2 m"',
        'width = "1.2 m"',
        '"hose boom, 15 m", width',
        ("usually overlaps by up to 0.8 m", "half of 1.2 m", 'overlap = "10 cm"'),
    ),
    Faulty(
        "a strip narrower than its tine",
        'strip_width = "25 cm"',
        'strip_width = "3 cm"',
        'strip_width = "3 cm"',
        "strip_width",
        ("a strip of 3 cm is narrower than its tine of 4 cm",),
    ),
    Faulty(
        "a turning that is none",
        'turning = "reversing"',
        'turning = "y turn"',
        'turning = "y turn"',
        "pass 2, turning",
        ('"loop"', '"leaving runs out"'),
    ),
    Faulty(
        "fuel by the hour that no tractor burns",
        'turning = "reversing"',
        'turning = "reversing"\n  measured_fuel = "600 L/h"',
        '"600 L/h"',
        "pass 2, measured_fuel",
        ("cannot be", "200 L/h"),
    ),
    one_quantity("a field like a thread", "shape", '"10 %"', "cannot be", "from 30 %"),
    one_quantity("a headland as deep as a field", "headland", '"90 m"', "cannot be", "0 m to 60 m"),
    Faulty(
        "a tractor of nothing", 'mass = "7.4 t"', 'mass = "740 kg"', '"740 kg"', "tractor 1", ("cannot be", "from 1 t")
    ),
)

FARM = (
    Faulty(
        "lateness without a price",
        "drivers = 2\n",
        'drivers = 2\nlate_loss = "0.5 %"\n',
        "[farm]",
        "farm, crop_price",
        ("late_loss and crop_price together", 'crop_price = "140 EUR/t"'),
    ),
    Faulty(
        "a price without lateness",
        "drivers = 2\n",
        'drivers = 2\ncrop_price = "140 EUR/t"\n',
        "[farm]",
        "farm, late_loss",
        ("late_loss and crop_price together", 'late_loss = "0.5 %"'),
    ),
    Faulty(
        "all lost on the first day",
        "drivers = 2\n",
        'drivers = 2\ncrop_price = "140 EUR/t"\nlate_loss = "50 %"\n',
        "late_loss =",
        "farm, late_loss",
        ("50 %", "every day late", '"0.5 %"'),
    ),
    Faulty(
        "fit days that do not last",
        'stay_fit = "70 %"',
        'stay_fit = "40 %"',
        'stay_fit = "40 %"',
        "farm, stay_fit",
        ("less than the 55 +/- 10 % of any day", "leave it out"),
    ),
    Faulty(
        "no fit days",
        'fit_days = "55 +/- 10 %"',
        'fit_days = "0 %"',
        'fit_days = "0 %"',
        "farm, fit_days",
        ("hardly a fit day", '"55 %"'),
    ),
    Faulty(
        "a farm smaller than the field",
        'maize = "58 ha"',
        'maize = "5.8 ha"',
        'maize = "5.8 ha"',
        "farm, maize",
        ("5.8 ha", "this field alone (9.6 ha)"),
    ),
    Faulty("days with a spread", 'window = "24 day"', 'window = "20..28 day"', "20..28", "window", ("one figure",)),
    Faulty("a day of 30 hours", 'day = "9 h"', 'day = "30 h"', '"30 h"', "farm, day", ("1 h to 24 h",)),
    Faulty("no drivers", "drivers = 2", "drivers = 0", "drivers = 0", "drivers", ("whole number from 1 to 20",)),
    Faulty("no window", 'window = "24 day" ', "#", "[farm]", "farm, window", ("is missing", '"21 day"')),
)

FAULTY_SUPPLIES = (*EACH_WAY, *SUPPLIES, *TANKERS, *CONTRACTORS, *READINGS, *FARM)
