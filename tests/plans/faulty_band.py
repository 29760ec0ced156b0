"""Plans with one fault each in what they say of the band: the demo plan after one change of its text."""

from __future__ import annotations

from plans.faulty import Faulty

__all__ = ["FAULTY_BAND"]

_TARGET = 'least = "6 cm"\nmost = "10 cm"\n'

FAULTY_BAND = (
    Faulty(
        "a target without an end", _TARGET, "", "[[band.target]]", "band, target 1, least", ("needs an end", "both")
    ),
    Faulty(
        "a target upside down",
        _TARGET,
        'least = "10 cm"\nmost = "6 cm"\n',
        "least",
        "band, target 1, least",
        ("10 cm, is more than most, 6 cm", "swap"),
    ),
    Faulty(
        "a target of something else",
        'of = "clearance"',
        'of = "depth"',
        'of = "depth"',
        "band, target 1, of",
        ("one of", '"gap", "clearance", "top"'),
    ),
    Faulty(
        "a target of nobody",
        'source = "The farm\'s own wish (example figures)"\n',
        "",
        "[[band.target]]",
        "band, target 1, source",
        ("is missing", "whose rule"),
    ),
    Faulty(
        "a target with a spread",
        'least = "6 cm"',
        'least = "6 +/- 1 cm"',
        "least",
        "band, target 1, least",
        ("has a spread", '"5 cm"'),
    ),
    Faulty(
        "a target as a single table",
        "[[band.target]]",
        "[band.target]",
        "[band.target]",
        "band, target",
        ("must be a list", "[[band.target]]"),
    ),
    Faulty(
        "a band as a number",
        "[[limit]]\n",
        "\n[[limit]]\n",
        "band = ",
        "band",
        ("must be a table", "[band]"),
        True,
        (
            ("[band]   ", "[bend]   "),
            ('baseline = "plough"\n', 'baseline = "plough"\nband = 3\n'),
            ('[bend]                              # under the row, where a system places one\nwait = "5 day"\n', ""),
            ('top_scatter = "1.5 cm"              # from the digs of last spring\n', ""),
            ("[[band.target]]\n" + 'of = "clearance"\n' + _TARGET, ""),
            ('source = "The farm\'s own wish (example figures)"\ndate = 2026-01-15\n', ""),
            ('[band.steering]\nslurry = "2.5 cm"\nseed = "2.5 cm"\n', ""),
            ('slurry_drift = "3 +/- 1 cm"         # the tanker runs between tractor and tools\n', ""),
            ('seed_drift = "2 cm"\nshift = "1 cm"\n', ""),
        ),
    ),
    Faulty("waiting without a unit", 'wait = "5 day"', "wait = 5", "wait", "band, wait", ("5 has no unit", '"5 day"')),
    Faulty(
        "waiting for ever",
        'wait = "5 day"',
        'wait = "200 day"',
        "wait",
        "band, wait",
        ("cannot be", "0 day to 120 day"),
    ),
    Faulty(
        "steering by weight",
        'seed_drift = "2 cm"',
        'seed_drift = "2 kg"',
        "seed_drift",
        "band, steering, seed_drift",
        ("is a mass", "cm"),
    ),
    Faulty(
        "lines a field apart", 'shift = "1 cm"', 'shift = "2 m"', "shift", "band, steering, shift", ("-40 cm to 40 cm",)
    ),
    Faulty(
        "a side slope as steep as a roof",
        'slope = "1 %"\n',
        'slope = "1 %"\nside_slope = "60 %"\n',
        "side_slope",
        "field, side_slope",
        ("0 % to 40 %",),
    ),
    Faulty(
        "a drawbar as long as a field",
        'shift = "1 cm"',
        'shift = "1 cm"\nslurry_tow = "50 m"',
        "slurry_tow",
        "band, steering, slurry_tow",
        ("0 m to 20 m",),
    ),
    Faulty(
        "a key that steers nothing",
        'shift = "1 cm"',
        'shfit = "1 cm"',
        "shfit",
        "band, steering, shfit",
        ("no key", "shift"),
    ),
    Faulty(
        "soil too warm for spring",
        'wait = "5 day"',
        'wait = "5 day"\nsoil_temperature = "60 degC"',
        "soil_temperature",
        "band, soil_temperature",
        ("cannot be", "40 degC"),
    ),
)
