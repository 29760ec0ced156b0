"""Plans with one fault each in the wheels of tractors and machines: the demo plan after one change of its text."""

from __future__ import annotations

from plans.faulty import Faulty

__all__ = ["FAULTY_WHEELS"]

_FRONT = """  [[tractor.wheels]]
  axle = "front"
  tyre_width = "60 cm"
  tyre_diameter = "150 cm"
  pressure = "120 kPa"
  gauge = "2.0 m"
  share = "42 %"
"""
_REAR = 'axle = "rear"\n  tyre_width = "71 cm"'
_WIDE = 'tyre_width = "65 cm"\n  tyre_diameter = "142 cm"\n  pressure = "200 +/- 20 kPa"       # set for the road'
_LAST = 'pressure = "200 +/- 20 kPa"\n  gauge = "2.1 m"\n'
_PLOUGH = '[[machine]]\nname = "plough, 5 furrows"\nkind = "mouldboard plough"\nwidth = "2.0 m"\n'
_ASSISTED = 'drive = "front wheel assist"\nprice = "260000 EUR"'
_HERE = 'tractor 3 "tractor 230", wheels'
_TANKER = 'machine 4 "tanker, 16 m3", wheels'

FAULTY_WHEELS = (
    Faulty(
        "a tractor with its middle axle", 'axle = "front"', 'axle = "middle"', 'axle = "middle"', f"{_HERE} 1, axle",
        ('"front"', '"rear"'),
    ),
    Faulty(
        "a tractor on its rear axle alone", _FRONT, "", "[[tractor.wheels]]", _HERE,
        ("front axle is missing", "[[tractor.wheels]]"),
    ),
    Faulty("shares that make too little", 'share = "42 %"', 'share = "32 %"', 'share = "32 %"', f"{_HERE} 1, share",
        ("90 %", "100 %"),
    ),
    Faulty("tyres under tracks", _ASSISTED, _ASSISTED.replace("front wheel assist", "tracks"), "[[tractor.wheels]]", _HERE,
        ('drive = "tracks"', "four wheel drive"),
    ),
    Faulty("twice the same axle", _REAR, _REAR.replace("\"rear\"", "\"front\"  # again"), "# again", f"{_HERE} 2, axle",
        ("front axle stands here twice",),
    ),
    Faulty("a tyre wider than high", _WIDE, _WIDE.replace("65", "145"), "145", f"{_TANKER} 1, tyre_width",
        ("145 cm wide and 142 cm high",),
    ),
    Faulty("tyres that run into one another", 'gauge = "2.0 m"\n  share = "42 %"', 'gauge = "0.5 m"\n  share = "42 %"',
        'gauge = "0.5 m"', f"{_HERE} 1, gauge", ("run into one another",),
    ),
    Faulty("a distance of twins without twins", 'share = "42 %"', 'share = "42 %"\napart = "70 cm"', "apart =",
        f"{_HERE} 1, apart", ("count = 4",),
    ),
    Faulty("twins that run into one another", 'share = "42 %"', 'share = "42 %"\ncount = 4\napart = "50 cm"',
        "apart =", f"{_HERE} 1, apart", ("twins", "run into one another"),
    ),
    Faulty("three wheels on an axle", 'share = "42 %"', 'share = "42 %"\ncount = 3', "count = 3", f"{_HERE} 1, count",
        ("2, 4",),
    ),
    Faulty("a tyre pressure without a unit", 'pressure = "120 kPa"', "pressure = 120", "pressure = 120",
        f"{_HERE} 1, pressure", ("no unit", '"120 kPa"'),
    ),
    Faulty("one share of two on a tanker", _LAST, _LAST + '  share = "40 %"\n', "[[machine.wheels]]",
        f"{_TANKER} 1, share", ("every axle", "none"),
    ),
    Faulty("wheels under a plough that is carried", _PLOUGH, _PLOUGH.replace("]]", "]]  # here") + 'wheels = ['
        '{axle = "rear", tyre_width = "30 cm", tyre_diameter = "70 cm", pressure = "2 bar", gauge = "1.5 m"}]\n',
        "# here", 'machine 1 "plough, 5 furrows", mass', ("needs mass",),
    ),
    Faulty("wheels as a number", 'width = "2.0 m"\n', 'width = "2.0 m"\nwheels = 4\n', "wheels = 4",
        'machine 1 "plough, 5 furrows", wheels', ("must be a list", "[[machine.wheels]]"),
    ),
)  # fmt: skip
