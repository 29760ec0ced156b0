"""Plans with one fault each in what they say of the slurry's contents: analyses, stores, replaced results, stand-ins."""

from __future__ import annotations

from plans.faulty import DEMO, Faulty

__all__ = ["FAULTY_SLURRY", "ONE_ANALYSIS", "STAND_IN", "analysed", "analysis"]

ONE_ANALYSIS = DEMO[DEMO.index('basis = "fresh"\n') : DEMO.index('price = "0 EUR/m3"')]
"""The contents that the demo plan gives in [slurry]."""
STAND_IN = DEMO.replace(ONE_ANALYSIS, 'stand_in = "cattle slurry, typical, UK"\n')
"""The demo plan with a guide value in place of its analysis."""
_KEYS = {
    "store": '"pit"',
    "load": '"1 to 4"',
    "volume": '"120 m3"',
    "dry_matter": '"7.2 %"',
    "total_n": '"3.6 kg N/t"',
    "ammoniacal_n": '"1.9 kg NH4-N/t"',
    "phosphorus": '"1.4 kg P2O5/t"',
    "potassium": '"3.8 kg K2O/t"',
    "ph": "7.4",
}


def analysis(**keys: str | None) -> str:
    """Return one analysis with other values under some keys, and without those that are None."""
    held = {key: value for key, value in (_KEYS | keys).items() if value is not None}
    return "[[slurry.analysis]]\n" + "".join(f"{key} = {value}\n" for key, value in held.items()) + "\n"


def analysed(*analyses: str, density: str = 'density = "1.02 t/m3"\n') -> str:
    """Return the demo plan with analyses of loads and stores in place of its one."""
    text = DEMO.replace(ONE_ANALYSIS, "").replace('density = "1.02 t/m3"\n', density, 1)
    return text.replace("[weather]\n", "".join(analyses) + "[weather]\n", 1)


def _faulty(name: str, key: str, words: tuple[str, ...], *analyses: str, at: str = "", density: str | None = None,
            alone: bool = True) -> Faulty:  # fmt: skip
    more = [("[weather]\n", "".join(analyses) + "[weather]\n")]
    if density is not None:
        more.append(('density = "1.02 t/m3"\n', density))
    return Faulty(name, ONE_ANALYSIS, "", at, key, words, alone, tuple(more))


_OTHER = analysis(load='"5 to 8"')
_PROVISIONAL = analysis(result='"provisional"')

FAULTY_SLURRY: tuple[Faulty, ...] = (
    Faulty(
        "no contents at all",
        ONE_ANALYSIS,
        "",
        "[slurry]",
        "slurry, total_n",
        ("is missing", "from the laboratory"),
        False,
    ),
    Faulty("no pH", "ph = 7.4\n", "", "[slurry]", "slurry, ph", ("is missing",)),
    Faulty("no density", 'density = "1.02 t/m3"\n', "", "[slurry]", "slurry, density", ("is missing", "1.02 t/m3")),
    Faulty(
        "contents beside analyses",
        "analysed = 2026-03-20\n",
        "",
        "total_n",
        "slurry, total_n",
        ("beside the analyses", "take it out"),
        False,
        (("[weather]\n", analysis() + "[weather]\n"),),
    ),
    Faulty(
        "a stand-in beside contents",
        'density = "1.02 t/m3"\n',
        'density = "1.02 t/m3"\nstand_in = "cattle slurry, typical, UK"\n',
        "stand_in",
        "slurry, stand_in",
        ("only for slurry that nobody analysed",),
    ),
    _faulty(
        "a stand-in beside analyses",
        "slurry, stand_in",
        ("nobody analysed",),
        analysis(),
        at="stand_in",
        density='density = "1.02 t/m3"\nstand_in = "cattle slurry, typical, UK"\n',
    ),
    Faulty(
        "an unknown stand-in",
        ONE_ANALYSIS,
        'stand_in = "cattle slurry, tpical, UK"\n',
        "stand_in",
        "slurry, stand_in",
        ("no stand-in that is known", 'did you mean "cattle slurry, typical, UK"'),
    ),
    Faulty(
        "a stand-in of other animals",
        ONE_ANALYSIS,
        'stand_in = "pig slurry, typical, UK"\n',
        "stand_in",
        "slurry, stand_in",
        ("does not speak of dairy cattle slurry",),
    ),
    _faulty(
        "several analyses, one without a volume",
        "analysis 2, volume",
        ("several analyses", "120 m3"),
        analysis(),
        analysis(load='"5 to 8"', volume=None),
        at='[[slurry.analysis]]\nstore = "pit"\nload = "5 to 8"',
    ),
    _faulty(
        "two final results of one load",
        "analysis 2, load",
        ("final result of pit, load 1 To 4 already", "analysis 1"),
        analysis(),
        analysis(load='"1 To 4"'),
        at='load = "1 To 4"',
    ),
    _faulty(
        "two provisional results of one load",
        "analysis 2, load",
        ("provisional result", "name the loads apart"),
        _PROVISIONAL,
        analysis(result='"provisional"', load='"1 TO 4"'),
        at='load = "1 TO 4"',
    ),
    _faulty(
        "a dry basis per volume",
        "analysis 2, total_n",
        ("is per volume", "45 g/kg"),
        analysis(),
        analysis(
            load='"5"',
            basis='"dry"',
            total_n='"50 kg N/m3"',
            ammoniacal_n='"26 g/kg"',
            phosphorus='"19 g P2O5/kg"',
            potassium='"53 g K2O/kg"',
        ),
        at='total_n = "50',
    ),
    _faulty(
        "more ammoniacal than total N in one analysis",
        "analysis 2, ammoniacal_n",
        ("more than", "NH4 against NH4-N"),
        analysis(),
        analysis(load='"5"', ammoniacal_n='"4.5 kg/m3"'),
        at='ammoniacal_n = "4.5',
    ),
    _faulty(
        "contents of dry matter said to be fresh in one analysis",
        "analysis 1, total_n",
        ("far too much", "dry"),
        analysis(total_n='"50 g/kg"'),
        at='total_n = "50',
    ),
    _faulty(
        "phosphate of dry matter said to be fresh",
        "analysis 1, phosphorus",
        ("far too much",),
        analysis(phosphorus='"19 g P/kg"'),
        at='phosphorus = "19',
    ),
    _faulty(
        "an analysis without a density",
        "analysis 2, density",
        ("has no density", "once for all"),
        analysis(density='"1.02 t/m3"'),
        _OTHER,
        density="",
        at='[[slurry.analysis]]\nstore = "pit"\nload = "5 to 8"',
    ),
    _faulty(
        "a density that no analysis needs",
        "slurry, density",
        ("density of its own",),
        analysis(density='"1.03 t/m3"'),
        at='density = "1.02 t/m3"',
    ),
    _faulty(
        "a density with a spread",
        "analysis 1, density",
        ("one figure is needed",),
        analysis(density='"1.02 +/- 0.01 t/m3"'),
        at='density = "1.02 +/-',
    ),
    _faulty(
        "stores named for some only",
        "analysis 2, store",
        ("which store",),
        analysis(),
        analysis(store=None, load='"7"'),
        at='[[slurry.analysis]]\nload = "7"',
    ),
    _faulty(
        "more sampled than there is",
        "analysis 1, sampled",
        ("130 m3 is more than the 120 m3",),
        analysis(sampled='"130 m3"'),
        at="sampled",
    ),
    _faulty(
        "sampled of nothing",
        "analysis 1, sampled",
        ("needs the whole",),
        analysis(sampled='"30 m3"', volume=None),
        at="sampled",
    ),
    _faulty(
        "a final result of another volume",
        "analysis 2, volume",
        ("stands for 120 m3, this one for 100 m3",),
        _PROVISIONAL,
        analysis(volume='"100 m3"'),
        at='volume = "100 m3"',
    ),
    _faulty(
        "phosphorus without its substance",
        "analysis 1, phosphorus",
        ("of what?",),
        analysis(phosphorus='"1.4 kg/t"'),
        at="phosphorus",
    ),
    _faulty(
        "an analysis without ammoniacal N",
        "analysis 1, ammoniacal_n",
        ("is missing", "NH4-N"),
        analysis(ammoniacal_n=None),
        at="[[slurry.analysis]]",
    ),
    _faulty(
        "a result that is neither",
        "analysis 1, result",
        ('one of "final", "provisional"',),
        analysis(result='"late"'),
        at="result",
    ),
    _faulty(
        "a key that no analysis has", "analysis 1, lab", ("no key that is known",), analysis(lab='"county"'), at="lab ="
    ),
    _faulty("no volume at all", "analysis 1, volume", ("cannot be",), analysis(volume='"0 m3"'), at='volume = "0 m3"'),
)
