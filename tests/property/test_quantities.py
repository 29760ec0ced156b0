"""What holds for every quantity: it reads back, it converts there and back, its spread is carried along."""

from __future__ import annotations

import math

from hypothesis import assume, given, settings
from hypothesis import strategies as st

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
from spadework.quantities._definitions import GROUPS, NAMES
from spadework.reference import constants

UNITS = [unit for _, group in GROUPS for unit in group]
GROUPED = [group for _, group in GROUPS if len(group) > 1]
untimed = settings(deadline=None)  # the first unit read loads the unit algebra
sizes = st.floats(1e-6, 1e9).map(lambda v: float(f"{v:.6g}"))
signed = st.floats(-1e6, 1e6).map(lambda v: float(f"{v:.6g}")).filter(lambda v: v == 0 or abs(v) > 1e-200)


@st.composite
def texts(draw: st.DrawFn) -> tuple[str, str]:
    """Return a text and the unit it is written in."""
    unit, a, b = draw(st.sampled_from(UNITS)), draw(signed), draw(sizes)
    return (
        draw(
            st.sampled_from(
                [f"{a!r} {unit}", f"{a!r} +/- {b!r} {unit}", f"{a!r}..{a + b!r} {unit}", f"{a!r} to {a + b!r} {unit}"]
            )
        ),
        unit,
    )


def same(one: Quantity, other: Quantity) -> bool:
    fields = ("value", "low", "high", "kind", "unit", "substance")
    return all(getattr(one, f) == getattr(other, f) for f in fields)


@untimed
@given(texts(), st.data())
def test_every_quantity_reads_back_from_its_own_text(written: tuple[str, str], data: st.DataObject) -> None:
    text, unit = written
    target = data.draw(st.sampled_from(units_that_do(unit)))
    quantity = parse(text, target)
    assert quantity.unit == target
    assert quantity.text == text
    assert same(parse(str(quantity), target), quantity)


@untimed
@given(
    st.sampled_from(["kg/m3", "kg/ha", "lb/1000 US gal", "EUR/kg", "%", "g/kg"]),
    st.sampled_from(["P", "P2O5", "NH4-N", "K"]),
    sizes,
)
def test_a_substance_reads_back(unit: str, substance: str, size: float) -> None:
    quantity = Quantity(size, size, size, "exact", unit, "", substance)
    assert same(parse(str(quantity), unit, substances=(substance,)), quantity)


@untimed
@given(texts(), st.data())
def test_there_and_back(written: tuple[str, str], data: st.DataObject) -> None:
    text, unit = written
    quantity = parse(text, unit)
    there = convert(quantity, data.draw(st.sampled_from(units_that_do(unit))))
    back = convert(there, unit)
    scale = 1000.0 if unit.startswith("deg") else 0.0  # the zero of a temperature scale lies elsewhere
    for field in ("value", "low", "high"):
        wanted = getattr(quantity, field)
        # a limit near zero is a difference of two larger numbers
        largest = max(abs(quantity.low), abs(quantity.high), scale)
        assert math.isclose(getattr(back, field), wanted, rel_tol=1e-12, abs_tol=1e-12 * largest)
    assert there.kind == quantity.kind


@untimed
@given(st.sampled_from(GROUPED), sizes, st.data())
def test_order_and_ratio_do_not_depend_on_the_unit(group: tuple[str, ...], size: float, data: st.DataObject) -> None:
    one, other = data.draw(st.sampled_from(group)), data.draw(st.sampled_from(group))
    small, large = (parse(f"{v!r} {one}", other).value for v in (size, 2 * size))
    assert small < large
    if not one.startswith("deg"):
        assert math.isclose(large / small, 2, rel_tol=1e-12)


@untimed
@given(sizes, sizes, st.sampled_from(["L/ha", "US gal/ac"]))
def test_the_spread_of_about_and_between(middle: float, half: float, unit: str) -> None:
    assume(middle / half < 1e6)
    about = parse(f"{middle!r} +/- {half!r} {unit}", unit)
    assert math.isclose(about.high - about.value, about.value - about.low, rel_tol=1e-8)
    # 80 % of a normal distribution lies within the limits
    assert math.isclose(math.erf((about.high - about.value) / about.sd / math.sqrt(2)), 0.8, rel_tol=1e-8)
    between = parse(f"{middle!r} to {middle + half!r} {unit}", unit)
    assert between.low < between.high
    assert math.isclose(between.sd**2 * 12, (between.high - between.low) ** 2, rel_tol=1e-9)
    assert parse(f"{middle!r} {unit}", unit).sd == 0


@untimed
@given(sizes, st.integers(1, 99))
def test_a_share_behind_the_unit_is_a_half_width(middle: float, percent: int) -> None:
    quantity = parse(f"{middle!r} kg/ha +/- {percent} %", "kg/ha")
    assert math.isclose(quantity.high, middle * (1 + percent / 100), rel_tol=1e-12)
    assert math.isclose(quantity.low, middle * (1 - percent / 100), rel_tol=1e-10)


@untimed
@given(st.integers(1000, 999_999_999))
def test_ways_to_part_thousands_agree(number: int) -> None:
    for mark in (" ", "\u2009", "\u202f", "\u00a0", "'", "\u2019"):
        assert parse(f"{number:,}".replace(",", mark) + " plants/ha", "plants/ha").value == number
    assert parse(f"{number:,}.5 plants/ha", "plants/ha").value == number + 0.5
    assert parse(f"{number:_}".replace("_", ".") + ",5 plants/ha", "plants/ha").value == number + 0.5


@untimed
@given(st.floats(0.001, 9.999).map(lambda v: round(v, 2)))
def test_comma_and_point_agree(number: float) -> None:
    assert parse(f"{number:.2f} %", "%").value == parse(f"{number:.2f} %".replace(".", ","), "%").value


@untimed
@given(sizes, st.integers(1, 6), st.sampled_from(["m3/ha", "degC", "%"]))
def test_what_is_shown_reads_back_to_its_digits(value: float, digits: int, unit: str) -> None:
    assert math.isclose(parse(show(value, unit, digits), unit).value, value, rel_tol=0.5000001 * 10 ** (1 - digits))


@untimed
@given(sizes, st.sampled_from(["t/ha", "kg", "EUR/t", "kg/t", "t", "t/h"]), st.floats(0.9, 1.1))
def test_mass_to_volume_and_back(size: float, unit: str, density_t_m3: float) -> None:
    mass = parse(f"{size!r} +/- {size / 4!r} {unit}", unit)
    volume = to_volume(mass, density_t_m3)
    back = to_mass(volume, density_t_m3)
    assert back.unit == unit
    assert math.isclose(back.value, mass.value, rel_tol=1e-12)
    assert math.isclose(volume.sd / volume.value, mass.sd / mass.value, rel_tol=1e-9)


@untimed
@given(sizes, st.sampled_from([("P", "P2O5"), ("K", "K2O"), ("NH4-N", "NH4"), ("S", "SO3")]))
def test_money_for_a_nutrient_does_not_depend_on_how_it_is_stated(size: float, pair: tuple[str, str]) -> None:
    element, compound = pair
    exact = constants("chemistry")
    amount = parse(f"{size!r} kg {element}/ha", "kg/ha", substances=(element,))
    price = parse(f"1.5 EUR/kg {element}", "EUR/kg", substances=(element,))
    there, dear = as_substance(amount, compound, exact), as_substance(price, compound, exact)
    assert there.value > amount.value
    assert dear.value < price.value
    assert math.isclose(there.value * dear.value, amount.value * price.value, rel_tol=1e-12)
    assert math.isclose(as_substance(there, element, exact).value, amount.value, rel_tol=1e-12)


@untimed
@given(st.text(max_size=260))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        quantity = parse(text, "cm", "m3/ha", "EUR/L", "%", "degC", substances=("", "N"))
    except QuantityError:
        return
    assert math.isfinite(quantity.value)


@untimed
@given(
    st.lists(
        st.sampled_from(
            [*"0123456789", *" .,'/*^()-+%e", "**", "..", "to", "+/-", "kg", "m", "US gal", "N", "P2O5", "EUR", "1000"]
        ),
        max_size=14,
    )
)
def test_pieces_of_quantities_in_any_order(pieces: list[str]) -> None:
    try:
        quantity = parse("".join(pieces), "m", "kg", "kg/m3", "EUR/kg", substances=("", "N", "P2O5"))
    except QuantityError:
        return
    assert quantity.low <= quantity.value <= quantity.high
    assert same(parse(str(quantity), quantity.unit, substances=(quantity.substance,)), quantity)


@untimed
@given(st.sampled_from(sorted(NAMES)))
def test_every_spelling_means_its_unit(spelling: str) -> None:
    assert parse(f"3 {spelling}", NAMES[spelling]).value == 3
