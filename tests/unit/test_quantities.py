"""What is read, and above all what is not guessed."""

from __future__ import annotations

import subprocess
import sys

import pytest

from spadework import quantities
from spadework.quantities import (
    Quantity,
    QuantityError,
    as_substance,
    convert,
    parse,
    show,
    to_mass,
    to_volume,
    units_that_do,
)
from spadework.quantities._definitions import ASKED, GROUPS, NAMES
from spadework.quantities._units import read_unit


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("30 t/ha", "t/ha", 30),
        ("30t/ha", "t/ha", 30),
        ("30 t per ha", "t/ha", 30),
        ("30 t ha-1", "t/ha", 30),
        ("30 t ha⁻¹", "t/ha", 30),
        ("8 in", "cm", 20.32),
        ("8 inches", "cm", 20.32),
        ("6,5 %", "%", 6.5),
        ("6.5 percent", "%", 6.5),
        ("6.5 per cent", "%", 6.5),
        ("65 g/kg", "%", 6.5),
        (".5 cm", "cm", 0.5),
        ("0,125 m", "cm", 12.5),
        ("1234,567 m", "m", 1234.567),
        ("1.234 kg", "kg", 1.234),
        ("1,234.5 kg", "kg", 1234.5),
        ("1.234,5 kg", "kg", 1234.5),
        ("1,234,567 kg", "kg", 1234567),
        ("1.234.567 kg", "kg", 1234567),
        ("95 000 plants/ha", "plants/m2", 9.5),
        ("95'000 plants/ha", "plants/m2", 9.5),
        ("1.5e3 kg", "t", 1.5),
        ("\u22125 °C", "degC", -5),
        ("\u20135 °C", "degC", -5),
        ("5 ℃", "degC", 5),
        ("50 degF", "degC", 10),
        ("9 K", "K", 9),
        ("120 °C d", "degC day", 120),
        ("120 K day", "degC day", 120),
        ("180 degF day", "degC day", 100),
        ("3 m³/ha", "m3/ha", 3),
        ("3 m^3/ha", "m3/ha", 3),
        ("3 m**3/ha", "m3/ha", 3),
        ("40000 l/ha", "m3/ha", 40),
        ("100 lb/1,000 US gal", "lb/1000 US gal", 100),
        ("100 lb per 1 000 US gal", "lb/1000 US gal", 100),
        ("20 L/100 km", "L/km", 0.2),
        ("12 kg/(ha year)", "kg/ha/year", 12),
        ("1.15 €/L", "EUR/L", 1.15),
        ("4 %/year", "%/year", 4),
        ("5 mS/cm", "dS/m", 5),
        ("2 lb/US ton", "kg/t", 1),
        ("0.5 %", "kg/t", 5),
    ],
)
def test_texts_that_are_read(text: str, unit: str, value: float) -> None:
    quantity = parse(text, unit)
    assert quantity.value == pytest.approx(value, rel=1e-14)
    assert (quantity.low, quantity.high, quantity.kind) == (quantity.value, quantity.value, "exact")
    assert (quantity.unit, quantity.text, quantity.sd) == (unit, text, 0)


@pytest.mark.parametrize(
    ("text", "unit", "kind", "low", "value", "high"),
    [
        ("22 +/- 3 L/ha", "L/ha", "about", 19, 22, 25),
        ("22 ± 3 L/ha", "L/ha", "about", 19, 22, 25),
        ("22±3 L/ha", "L/ha", "about", 19, 22, 25),
        ("(22 ± 3) L/ha", "L/ha", "about", 19, 22, 25),
        ("22 L/ha +/- 3 L/ha", "L/ha", "about", 19, 22, 25),
        ("22 L/ha +/- 10 %", "L/ha", "about", 19.8, 22, 24.2),
        ("2 kg/t +/- 10 %", "kg/t", "about", 1.8, 2, 2.2),
        ("6,5 +/- 0,4 %", "%", "about", 6.1, 6.5, 6.9),
        ("4 +/- 1 %/year", "%/year", "about", 3, 4, 5),
        ("0.3 +/- 0.1 m", "m", "about", 0.2, 0.3, 0.4),
        ("5 +/- 0 cm", "cm", "about", 5, 5, 5),
        ("68 +/- 9 °F", "degC", "about", 15, 20, 25),
        ("20 degC +/- 2 K", "degC", "about", 18, 20, 22),
        ("-10 +/- 5 degC", "degC", "about", -15, -10, -5),
        ("18..30 L/ha", "L/ha", "between", 18, 24, 30),
        ("18 .. 30 L/ha", "L/ha", "between", 18, 24, 30),
        ("18 to 30 L/ha", "L/ha", "between", 18, 24, 30),
        ("18–30 L/ha", "L/ha", "between", 18, 24, 30),
        ("18 – 30 L/ha", "L/ha", "between", 18, 24, 30),
        ("18-30 L/ha", "L/ha", "between", 18, 24, 30),
        ("6,5..7,5 %", "%", "between", 6.5, 7, 7.5),
        ("-5 to 5 degC", "degC", "between", -5, 0, 5),
        ("50 to 68 °F", "degC", "between", 10, 15, 20),
        ("50 °F to 20 °C", "degF", "between", 50, 59, 68),
        ("8 in to 10 in", "cm", "between", 20.32, 22.86, 25.4),
        ("8 in..30 cm", "cm", "between", 20.32, 25.16, 30),
    ],
)
def test_spreads_that_are_read(text: str, unit: str, kind: str, low: float, value: float, high: float) -> None:
    quantity = parse(text, unit)
    assert quantity.kind == kind
    assert (quantity.low, quantity.value, quantity.high) == pytest.approx((low, value, high), rel=1e-14)


REFUSED = [
    # a unit is missing, unknown, or means several things
    ("22", "cm", "no unit.*cm, mm.*in"),
    ("22 +/- 3", "cm", "no unit.*cm.*in"),
    ("5 cm +/- 2", "cm", "no unit"),
    ("0.05", "%", "no unit.*%.*g/kg"),
    ("22 gal/ac", "m3/ha", "US gal or imp gal"),
    ("22 Gallons/ac", "m3/ha", "US gal or imp gal"),
    ("22 ton/ha", "t/ha", "US ton.*long ton"),
    ("22 TON/ha", "t/ha", "US ton.*long ton"),
    ("90 hp", "kW", "kW, mech hp.*PS"),
    ("12 C", "degC", "degC"),
    ("12 F", "degC", "degF"),
    ("12 °", "degC", "degC.*degF"),
    ("1.2 $/L", "EUR/L", "USD, CAD"),
    ("1.2 £/L", "EUR/L", "GBP"),
    ("60 bu/ac", "t/ha", "bushel"),
    ("400 ppm", "%", "mg/kg or mg/L"),
    ('8"', "cm", "in for inches"),
    ("12 Kg/ha", "kg/ha", "did you mean kg"),
    ("12 KG/ha", "kg/ha", "did you mean kg"),
    ("7 gallonss/ac", "m3/ha", "did you mean US gallons"),
    ("6 kgal", "m3", "not a unit known here"),
    ("12 hectars", "ha", "did you mean hectares"),
    ("12 eur/L", "EUR/L", "did you mean EUR"),
    ("5 N/ha", "kg/ha", "needed is a mass per area.*kg N"),
    ("5 P2O5/ha", "kg/ha", "right after a mass"),
    # another kind of quantity
    ("30 kg/ha", "m3/ha", "mass per area.*volume per area.*by way of a density"),
    ("30 m3/ha", "cm", "volume per area; needed is a length"),
    ("95000 seeds/ha", "plants/ha", "seeds per area; needed is plants per area"),
    ("12 K", "degC", "difference of temperatures; needed is a temperature"),
    ("12 °F", "K", "a temperature; needed is a difference"),
    ("365 day", "year", "a time; needed is a number of years"),
    ("1.15 USD/L", "EUR/L", "USD, EUR is needed.*never converted"),
    # the number can be read in two ways, or in none
    ("1,234 lb", "kg", "two ways.*1234.*1.234"),
    ("22 +/- 1,234 lb", "kg", "two ways"),
    ("12 5 cm", "cm", "cannot read 12 5"),
    ("1 2345 cm", "cm", "cannot read"),
    ("1,23.4,5 cm", "cm", "cannot read"),
    ("1.23,456 cm", "cm", "cannot read"),
    ("½ in", "cm", "decimals"),
    ("8½ in", "cm", "raised digit or a fraction"),
    ("8 1/2 in", "cm", "decimals"),
    ("10³ L", "L", "raised digit"),
    ("5. cm", "cm", "unit"),
    ("", "cm", "does not begin with a number"),
    ("cm", "cm", "does not begin with a number"),
    ("about 5 cm", "cm", "does not begin with a number"),
    ("€1.15/L", "EUR/L", "does not begin with a number.*12 EUR/L"),
    ("nan cm", "cm", "does not begin with a number"),
    ("inf cm", "cm", "does not begin with a number"),
    ("1e400 cm", "cm", "beyond"),
    ("1e-400 cm", "cm", "beyond"),
    ("1e99999999 cm", "cm", "beyond"),
    ("1e299 km", "mm", "beyond"),
    # the spread is no spread
    ("30..18 cm", "cm", "larger to the smaller"),
    ("5 +/- -2 cm", "cm", "half-width"),
    ("5 -10 cm", "cm", "unit"),
    ("5 cm +/- 2 kg", "cm", "do not measure the same"),
    ("5 cm to 2 kg", "cm", "do not measure the same"),
    ("5 % +/- 10 %", "%", "share of what"),
    ("5 degC +/- 10 %", "degC", "share of what"),
    ("22 +/- 10 % L/ha", "L/ha", "unit first"),
    ("5..6..7 cm", "cm", "cm"),
    # the unit is no unit of the trade
    ("3 m^999999999", "m", "power"),
    ("3 m4", "m", "power"),
    ("3 kg^5", "kg", "power"),
    ("3 kg0", "kg", "power"),
    ("12 kg/ha year", "kg/ha", "two ways after the stroke"),
    ("6 1000US gal/ac", "m3/ha", "cannot read"),
    ("6 x 1000 US gal/ac", "m3/ha", "not a unit known|number inside"),
    ("6 kg/250 ha", "kg/ha", "power of ten"),
    ("6 kg/1000", "kg", "power of ten"),
    ("6 kg//ha", "kg/ha", "no unit"),
    ("6 kg/", "kg", "no unit"),
    ("6 (kg", "kg", "no unit"),
    ("6 m*m*m*m*m*m*m*m*m", "m", "too many parts"),
]


@pytest.mark.parametrize(("text", "unit", "message"), REFUSED)
def test_texts_that_are_refused(text: str, unit: str, message: str) -> None:
    with pytest.raises(QuantityError, match=message) as caught:
        parse(text, unit)
    assert text in str(caught.value)


@pytest.mark.parametrize("number", [22, 22.0, True, None])
def test_a_number_out_of_a_file_has_no_unit(number: float) -> None:
    with pytest.raises(QuantityError, match=r"has no unit; write one behind it: L/ha, .*US gal/ac"):
        parse(number, "L/ha")


@pytest.mark.parametrize(
    "text",
    [
        "x" * 10_000,
        "1" * 10_000 + " cm",
        "1 " + "m*" * 5_000,
        "1 " + "m/" * 95,
        "1 cm" + " to 1 cm" * 20,
        "1 " + "(" * 150,
        "(" * 199,
        "1" + " 000" * 49,
        "1" + ",000" * 49,
        "1 m^-999999999999999999",
        "9" * 190 + " cm",
        "\x00 cm",
        "1 \x1b[31m",
    ],
)
def test_hostile_texts_are_answered_or_read(text: str) -> None:
    try:
        quantity = parse(text, "cm")
    except QuantityError as error:
        message = str(error)
        assert len(message) < 500
        assert message.isprintable()
    else:
        assert quantity.value > 1e150


def test_the_first_unit_that_fits_is_the_unit_of_the_result() -> None:
    assert parse("30 t/ha", "m3/ha", "t/ha").unit == "t/ha"
    assert parse("3200 US gal/ac", "m3/ha", "t/ha").unit == "m3/ha"
    assert parse("3200 US gal/ac", "L/ha", "m3/ha").unit == "L/ha"
    with pytest.raises(QuantityError, match="a volume per area or a mass per area"):
        parse("30 cm", "m3/ha", "t/ha")
    with pytest.raises(TypeError):
        parse("30 cm")


def test_the_currency_that_is_expected_stands_in_the_place_of_eur() -> None:
    assert parse("1.15 GBP/L", "EUR/L", currency="GBP").unit == "GBP/L"
    assert parse("5 USD/US gal", "EUR/L", currency="USD").value == pytest.approx(5 / 3.785411784, rel=1e-14)
    with pytest.raises(QuantityError, match="EUR, GBP is needed"):
        parse("1.15 EUR/L", "EUR/L", currency="GBP")
    with pytest.raises(QuantityError, match=r"GBP/L, .*GBP/US gal"):
        parse("1.15", "EUR/L", currency="GBP")
    with pytest.raises(QuantityError, match="money per area; needed is money per volume"):
        parse("1.15 GBP/ha", "EUR/L", currency="GBP")


@pytest.mark.parametrize(
    ("text", "substances", "found"),
    [
        ("1.2 kg P2O5/m3", ("P", "P2O5"), "P2O5"),
        ("1.2 kg P₂O₅/m3", ("P", "P2O5"), "P2O5"),
        ("1.9 kg NH4-N/m3", ("N", "NH4-N"), "NH4-N"),
        ("1.9 kg NH₄-N/m³", ("N", "NH4-N"), "NH4-N"),
        ("1.9 kg N-NH4/m3", ("N", "NH4-N"), "NH4-N"),
        ("1.9 kg TAN/m3", ("NH4-N",), "NH4-N"),
        ("1.9 kg/m3", ("N", ""), ""),
        ("1.9 +/- 0.2 kg N/m3", ("N", ""), "N"),
        ("1.9 kg N/m3 to 2.1 kg N/m3", ("N", ""), "N"),
        ("1.9 kg N/m3 +/- 10 %", ("N", ""), "N"),
        ("3 kg K/m3", ("K", "K2O"), "K"),
        ("16 lb N/1000 US gal", ("N",), "N"),
    ],
)
def test_substances_that_are_named(text: str, substances: tuple[str, ...], found: str) -> None:
    assert parse(text, "kg/m3", substances=substances).substance == found


@pytest.mark.parametrize(
    ("text", "unit", "substances", "message"),
    [
        ("1.2 kg/m3", "kg/m3", ("P", "P2O5"), "of what. Say P or P2O5, as .*kg P/m3"),
        ("1.2 kg N/m3", "kg/m3", ("P", "P2O5"), "names N; needed is P or P2O5"),
        ("1.2 kg P/m3", "kg/m3", ("N", ""), "names P; needed is N or none"),
        ("1.2 kg P/m3", "kg/m3", (), "no substance is to be named"),
        ("1.2 kg N/kg P", "%", ("N",), "two substances"),
        ("1.2 kg/t N", "kg/t", ("N",), "above the stroke"),
        ("6.5 % DM", "%", ("DM",), "write the share alone"),
        ("1.2 kg N to 3 kg P", "kg", ("N",), "do not measure the same"),
    ],
)
def test_substances_that_are_refused(text: str, unit: str, substances: tuple[str, ...], message: str) -> None:
    with pytest.raises(QuantityError, match=message):
        parse(text, unit, substances=substances)


def test_a_share_can_name_its_substance() -> None:
    quantity = parse("0.4 +/- 0.1 % N", "%", substances=("N",))
    assert (quantity.substance, str(quantity)) == ("N", "0.4 +/- 0.1 % N")
    assert quantity.fractions == pytest.approx((0.003, 0.004, 0.005))


def test_only_a_percentage_has_a_fraction() -> None:
    assert parse("5 %", "%").fraction == 0.05
    with pytest.raises(QuantityError, match="only %"):
        _ = parse("5 kg/t", "kg/t").fraction


def test_ammoniacal_nitrogen_is_not_all_nitrogen() -> None:
    ammoniacal = parse("1.9 kg NH4-N/m3", "kg/m3", substances=("NH4-N",))
    with pytest.raises(QuantityError, match="not two forms"):
        as_substance(ammoniacal, "N", {})
    with pytest.raises(QuantityError, match="does not say"):
        as_substance(parse("1.9 kg/m3", "kg/m3"), "P2O5", {})
    with pytest.raises(KeyError):
        as_substance(ammoniacal, "NH4", {})
    assert as_substance(ammoniacal, "NH4-N", {}) is ammoniacal


def test_mass_and_volume_of_slurry() -> None:
    density = parse("1025 +/- 20 kg/m3", "t/m3")
    dose = to_volume(parse("41 +/- 4.1 t/ha", "t/ha"), density)
    assert (dose.unit, dose.kind) == ("m3/ha", "about")
    assert (dose.low, dose.value, dose.high) == pytest.approx((36, 40, 44), rel=1e-14)
    content = to_volume(parse("2 kg N/t", "kg/t", substances=("N",)), 1.05)
    assert (content.value, content.unit, content.substance) == (pytest.approx(2.1), "kg/m3", "N")
    assert to_mass(content, 1.05).unit == "kg/t"
    assert to_volume(parse("5 EUR/t", "EUR/t"), 1.05).value == pytest.approx(5.25)
    with pytest.raises(QuantityError, match="a mass of N is not a mass of slurry"):
        to_volume(parse("170 kg N/ha", "kg/ha", substances=("N",)), 1.05)
    with pytest.raises(QuantityError, match="has no mass"):
        to_volume(parse("40 m3/ha", "m3/ha"), 1.05)
    with pytest.raises(QuantityError, match="has no volume"):
        to_mass(parse("40 t/ha", "t/ha"), 1.05)
    for wrong in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(QuantityError, match="density"):
            to_mass(parse("40 m3/ha", "m3/ha"), wrong)
    with pytest.raises(QuantityError, match="needed is a mass per volume"):
        to_mass(parse("40 m3/ha", "m3/ha"), parse("3 cm", "cm"))


def test_converting_keeps_the_substance_and_refuses_the_rest() -> None:
    content = parse("1.2 kg P2O5/m3", "kg/m3", substances=("P2O5",))
    assert str(convert(content, "lb/1000 US gal")).endswith("lb P2O5/1000 US gal")
    for unit in ("kg/ha", "kg P2O5/m3", "kg P/m3", "gal"):
        with pytest.raises(QuantityError):
            convert(content, unit)
    with pytest.raises(QuantityError, match="never converted"):
        convert(parse("1 EUR/ha", "EUR/ha"), "USD/ha")


@pytest.mark.parametrize(
    ("value", "unit", "digits", "shown"),
    [
        (29.934, "m3/ha", 3, "29.9 m3/ha"),
        (30.0, "m3/ha", 3, "30 m3/ha"),
        (3207.2, "US gal/ac", 3, "3210 US gal/ac"),
        (95432, "plants/ha", 3, "95\u202f400 plants/ha"),
        (-1234567.0, "EUR", 7, "-1\u202f234\u202f567 EUR"),
        (0.0, "cm", 3, "0 cm"),
        (-0.0, "cm", 3, "0 cm"),
        (0.000012345, "m", 3, "0.0000123 m"),
        (1.5e-12, "m", 3, "1.5e-12 m"),
        (9.996, "%", 3, "10 %"),
        (0.5, "", 3, "0.5"),
    ],
)
def test_show(value: float, unit: str, digits: int, shown: str) -> None:
    assert show(value, unit, digits) == shown


def test_show_refuses_what_is_no_number() -> None:
    for value, digits in ((float("nan"), 3), (float("inf"), 3), (1.0, 0)):
        with pytest.raises(QuantityError):
            show(value, "cm", digits)


@pytest.mark.parametrize(
    ("value", "low", "high", "kind"),
    [
        (1.0, 2.0, 3.0, "between"),
        (1.0, 0.5, 1.5, "exact"),
        (float("nan"), 0.0, 1.0, "about"),
        (1.0, 0.0, float("inf"), "between"),
        (1.0, 0.0, 2.0, "perhaps"),
        (1.0, 0.0, 5.0, "about"),
        (1.0, 0.0, 5.0, "between"),
    ],
)
def test_a_quantity_that_cannot_be(value: float, low: float, high: float, kind: str) -> None:
    with pytest.raises(QuantityError):
        Quantity(value, low, high, kind, "cm", "made by hand")  # type: ignore[arg-type]


def test_every_unit_is_known_by_kind_and_every_question_has_an_answer() -> None:
    for words, group in GROUPS:
        assert len({(read_unit(u).dimensions, read_unit(u).absolute) for u in group}) == 1, words
        assert units_that_do(group[0]) == list(group)
    assert len({group[0] for _, group in GROUPS}) == len(GROUPS)
    assert not set(ASKED) & set(NAMES)
    assert units_that_do("kg/kWh/ha") == ["kg/kWh/ha"]


def test_public_names_exist() -> None:
    assert set(quantities.__all__) <= set(dir(quantities))


def test_importing_does_not_load_the_unit_algebra() -> None:
    code = "import sys, spadework.quantities; sys.exit('pint' in sys.modules or 'numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
