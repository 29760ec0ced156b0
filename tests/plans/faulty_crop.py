"""Plans with one fault each in need, starter, availability or limits: the demo plan after one change of its text."""

from __future__ import annotations

from plans.faulty import Faulty

__all__ = ["FAULTY_CROP"]

_NEED = 'n_need = "150 kg N/ha"              # after'
_STARTER = "[crop.starter]\n"
_TARGET = '[crop.need]\nby = "target value, Germany"\nnmin = "60 kg N/ha"\n'
_INDEX = '[crop.need]\nby = "soil index, United Kingdom"\nn_index = "1"\n'
_NO_NEED = (_NEED, "# after")


def _by(name: str, table: str, at: str, key: str, *words: str, more: tuple[tuple[str, str], ...] = ()) -> Faulty:
    """Return the fault of a plan whose need is worked out."""
    return Faulty(name, _STARTER, f"{table}\n{_STARTER}", at, key, words, True, (_NO_NEED, *more))


def _limit(name: str, lines: str, at: str, key: str, *words: str) -> Faulty:
    """Return the fault of a limit put before the others of the demo."""
    text = f'[[limit]]\n{lines}\nsource = "invented"\ndate = 2026-01-15\n\n[[limit]]\nof = "total N'
    return Faulty(name, '[[limit]]\nof = "total N', text, at, f"limit 1, {key}", words)


FAULTY_CROP = (
    Faulty("no need of nitrogen", _NEED, "# after", "[crop]", "crop, n_need", ("say once", "[crop.need]")),
    Faulty("need said twice", _STARTER, f"{_TARGET}\n{_STARTER}", "n_need", "crop, n_need", ("say once",)),
    _by(
        "a target value without Nmin",
        _TARGET.replace('nmin = "60 kg N/ha"\n', ""),
        "by =",
        "crop, need, by",
        "needs the mineral nitrogen",
        "nmin",
    ),
    _by("an index beside a target value", _TARGET + 'n_index = "1"\n', "n_index", "crop, need, n_index", "soil index"),
    _by("Nmin beside an index", _INDEX + 'nmin = "60 kg N/ha"\n', "nmin", "crop, need, nmin", "target value"),
    _by("no index", _INDEX.replace('n_index = "1"\n', ""), "by =", "crop, need, by", 'n_index = "1"'),
    _by("an index that is none", _INDEX.replace('"1"', '"7"'), "n_index", "crop, need, n_index", "one of"),
    _by(
        "an index for grain maize",
        _INDEX,
        "by =",
        "crop, need, by",
        "no row for grain maize",
        more=(('kind = "silage maize"', 'kind = "grain maize"'),),
    ),
    _by(
        "a year that is not extreme",
        _TARGET + 'yields = ["48 t/ha", "50 t/ha"]\nreplaced = [2]\n',
        "replaced",
        "crop, need, replaced",
        "not more than 20 %",
        "none",
    ),
    _by(
        "another year than the extreme one",
        _TARGET + 'yields = ["48 t/ha", "50 t/ha", "31 t/ha"]\nreplaced = [2]\n',
        "replaced",
        "crop, need, replaced",
        "may be replaced: 3",
    ),
    _by("replaced without yields", _TARGET + "replaced = [2]\n", "replaced", "crop, need, replaced", "no yields"),
    _by("the first year replaced", _TARGET + "replaced = [1]\n", "replaced", "crop, need, replaced", "write a number"),
    _by("a yield with a spread", _TARGET + 'yields = ["48 +/- 3 t/ha"]\n', "yields", "yields", "has a spread"),
    _by(
        "an expected yield beyond all maize",
        _TARGET,
        "expected_yield",
        "crop, expected_yield",
        "more than maize brings",
        more=(
            ('expected_yield = "17 +/- 2 t/ha"', 'expected_yield = "40 t/ha"'),
            ('dry_matter = "34 %"', 'dry_matter = "20 %"'),
        ),
    ),
    _by(
        "a preceding crop that is not listed",
        _TARGET + 'preceding_crop = "rice"\n',
        "preceding_crop",
        "crop, need, preceding_crop",
        "grassland",
        "cereal or maize",
    ),
    Faulty(
        "starter saved where there is none",
        '[crop.starter]\nname = "starter 18-46"              # beside the seed\nrate = "100 kg/ha"\nn = "18 %"\n'
        'p2o5 = "46 %"\nprice = "640 +/- 60 EUR/t"\n',
        "",
        "saves_starter",
        "saves_starter",
        ("no starter fertiliser",),
    ),
    Faulty(
        "a starter of more than all",
        'n = "18 %"',
        'n = "60 %"',
        "p2o5",
        "crop, starter, p2o5",
        ("more than the whole",),
    ),
    Faulty(
        "a starter without a price",
        'price = "640 +/- 60 EUR/t"\n',
        "",
        "[crop.starter]",
        "crop, starter, price",
        ("is missing",),
    ),
    Faulty(
        "a season for a rule", _NEED, f'n_season = "winter"\n{_NEED}', "n_season", "crop, n_season", ("seasons apart",)
    ),
    Faulty(
        "pig slurry in winter by the guide",
        _NEED,
        f'n_available = "by guide, United Kingdom"\nn_season = "winter"\n{_NEED}',
        "n_season",
        "crop, n_season",
        ("in spring only",),
        True,
        (('kind = "dairy cattle"', 'kind = "sow"'),),
    ),
    Faulty(
        "banded in winter by the guide",
        _NEED,
        f'n_available = "by guide, United Kingdom"\nn_season = "winter"\n{_NEED}',
        "n_available",
        "crop, n_available",
        ("says nothing of strip", "no row"),
    ),
    Faulty(
        "thicker than the guide",
        _NEED,
        f'n_available = "by guide, United Kingdom"\n{_NEED}',
        "n_available",
        "crop, n_available",
        ("from 2 to 10 % dry matter",),
        True,
        (('"7.2 +/- 0.5 %"', '"12 %"'),),
    ),
    Faulty(
        "phosphate priced by the kilogram of P",
        '"1.05 +/- 0.20 EUR/kg P2O5"',
        '"2.4 EUR/kg P"',
        "phosphate =",
        "prices, phosphate",
        ("P2O5",),
    ),
    _limit(
        "a slope in kilograms", 'of = "slope"\nat_most = "10 kg/ha"', "at_most", "at_most", "is no slope", "per cent"
    ),
    _limit(
        "a slope at least", 'of = "slope"\nat_least = "10 m"', '[[limit]]\nof = "slope"', "at_most", "needs at_most"
    ),
    _limit(
        "nitrogen in per cent",
        'of = "available N from slurry"\nat_most = "10 %"',
        "at_most",
        "at_most",
        "mass per area",
    ),
    _limit("a P balance, of what", 'of = "P balance"\nat_most = "10 kg/ha"', "at_most", "at_most", "say P or P2O5"),
    _limit(
        "a well nowhere", 'of = "distance to well"\nat_least = "50 m"', 'of = "distance to well"', "of", "well_distance"
    ),
    _limit(
        "a closed period without end",
        'of = "closed period"\nbegins = 2025-10-01',
        '[[limit]]\nof = "closed',
        "ends",
        "begins and ends",
    ),
    _limit(
        "a closed period at most",
        'of = "closed period"\nat_most = "10 kg/ha"',
        '[[limit]]\nof = "closed',
        "begins",
        "not at_most",
    ),
)
