"""Energy at the surface of the soil: what a bare surface and one under residue take up and give off.

The sun, the sky and the air against a bare surface, and against residue that lies on the soil: residue takes the light,
throws more of it back, and holds heat and vapour back.  A zone is a mixture of both, by cover, over one column of soil.  The
balance bends (radiation, vapour), so each step is solved by Newton's rule until no temperature moves by more than
:data:`TOLERANCE_K`; what every term carried is handed back, and their sum is nil.

Over a warm surface the air rises and carries more (Choudhury and others 1986); over a cold one it is taken as neutral,
which makes still nights too warm at the surface.  Evaporation goes with fixed resistances, and with the share of the full
rate that the state of the ground allows, which is the caller's to follow; dew is not held back by dry ground.  Residue
holds no heat of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from spadework import reference
from spadework.ranges import FloatArray, require
from spadework.science.seedbed.heat.columns import HeatColumns
from spadework.science.seedbed.heat.surface_weather import air_resistance

__all__ = [
    "TOLERANCE_K",
    "Zone",
]

_K = reference.constants("surface_balance")
_G = reference.constants("physics")
_VAPOUR = reference.constants("reference_et")
TOLERANCE_K = 1e-9
"""The balance is solved when no temperature moves by more than this [K]."""
_ROUNDS = 60


@dataclass(frozen=True)
class Zone:
    """Surface of a zone; every part is a number or an array by column.

    Attributes
    ----------
    albedo_share, residue_albedo_share : array_like
        Share of the light that soil and residue throw back [1].
    cover_share : array_like
        Cover by residue [1].
    roughness_m : array_like
        Roughness for wind [m].
    residue_hold_m2_k_w : array_like
        Resistance of the residue against heat [m2 K/W].
    drag_s_m, residue_drag_s_m : array_like
        Resistance against evaporation of bare soil, and of soil and residue together [s/m].
    """

    albedo_share: ArrayLike
    residue_albedo_share: ArrayLike
    cover_share: ArrayLike
    roughness_m: ArrayLike
    residue_hold_m2_k_w: ArrayLike
    drag_s_m: ArrayLike
    residue_drag_s_m: ArrayLike

    @classmethod
    def of(cls, key: str) -> Zone:
        """Return the middle figures of a row of the table `surface_zones`.

        Our own choices, with ranges in the table; measure cover, and fit the rest where loggers stand.

        Examples
        --------
        >>> Zone.of("between_rows").cover_share
        0.8
        """
        row = reference.load("surface_zones")[key]
        columns = ("albedo", "residue_albedo", "cover", "roughness", "residue_hold", "drag", "residue_drag")
        return cls(*(row.entry(column).value for column in columns))


@dataclass(frozen=True)
class Skin:
    """A zone, checked."""

    albedo: FloatArray
    residue_albedo: FloatArray
    cover: FloatArray
    roughness: FloatArray
    hold: FloatArray
    drag: FloatArray
    residue_drag: FloatArray

    @classmethod
    def checked(cls, ground: Zone) -> Skin:
        """Return a zone whose every part lies in its range."""
        return cls(
            *np.broadcast_arrays(
                require("albedo_share", ground.albedo_share, 0, 1),
                require("residue_albedo_share", ground.residue_albedo_share, 0, 1),
                require("cover_share", ground.cover_share, 0, 1),
                require("roughness_m", ground.roughness_m, 1e-5, 0.2, "m"),
                require("residue_hold_m2_k_w", ground.residue_hold_m2_k_w, 0, 10, "m2 K/W"),
                require("drag_s_m", ground.drag_s_m, 0, 1e9, "s/m"),
                require("residue_drag_s_m", ground.residue_drag_s_m, 0, 1e9, "s/m"),
            )
        )

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the parts together."""
        return self.cover.shape

    def spread(self, shape: tuple[int, ...]) -> Skin:
        """Return the parts column by column."""
        parts = (self.albedo, self.residue_albedo, self.cover, self.roughness, self.hold, self.drag, self.residue_drag)
        return Skin(*(np.ascontiguousarray(np.broadcast_to(part, shape)).reshape(-1) for part in parts))


class Balance:
    """The balance of one step; temperatures of bare soil, of soil under residue and of the top layer by column."""

    def __init__(
        self,
        skin: Skin,
        columns: HeatColumns,
        psychrometric_kpa_k: float,
        wet: FloatArray,
        air: FloatArray,
        light: FloatArray,
        vapour: FloatArray,
        wind: FloatArray,
        sky: FloatArray,
    ) -> None:
        self.skin, self.columns, self.air, self.vapour, self.wet = skin, columns, air, vapour, wet
        self.resistance = air_resistance(wind, skin.roughness, _K.wind_height_m)
        self.rise = _K.rise_factor * _G.g_n * _K.wind_height_m / ((air + _K.kelvin_zero) * wind**2)
        self.give = _K.air_heat_j_m3_k / self.resistance
        self.lift = _K.air_heat_j_m3_k / psychrometric_kpa_k
        self.send = _K.emissivity * _K.stefan_boltzmann
        self.sun = (1 - skin.albedo) * light
        self.residue_sun = (1 - skin.residue_albedo) * light
        self.sky = _K.emissivity * sky

    def solve(
        self, bare: FloatArray, under: FloatArray, cap: FloatArray, right: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray, int]:
        """Return the temperatures at which the balance closes, and the rounds taken."""
        skin = self.skin
        hold, cover, inlet = skin.hold, skin.cover, 1 / self.columns.top
        top = right / self.columns.first
        for done in range(1, _ROUNDS + 1):
            # every surface as a line in the temperature of the top layer: flow in = gain - loss * top
            net, slope = self._open(bare, self.sun)
            wet, wet_slope = self._wet(bare, skin.drag, open_air=True)
            stiff = inlet - slope + wet_slope
            start = net - slope * bare - wet + wet_slope * bare
            cap_net, cap_slope = self._open(cap, self.residue_sun)
            cap_start = cap_net - cap_slope * cap
            under_wet, under_slope = self._wet(under, skin.residue_drag, open_air=False)
            weak = 1 - hold * cap_slope
            under_stiff = inlet - cap_slope / weak + under_slope
            under_start = cap_start / weak - under_wet + under_slope * under
            gain = ((1 - cover) * start / stiff + cover * under_start / under_stiff) * inlet
            loss = ((1 - cover) * (1 - inlet / stiff) + cover * (1 - inlet / under_stiff)) * inlet
            new_top = (right + gain) / (self.columns.first + loss)
            new_bare = (start + new_top * inlet) / stiff
            new_under = (under_start + new_top * inlet) / under_stiff
            new_cap = (hold * cap_start + new_under) / weak
            pairs = ((new_bare, bare), (new_under, under), (new_cap, cap), (new_top, top))
            moved = max(float(np.abs(new - old).max()) for new, old in pairs)
            bare, under, cap, top = new_bare, new_under, new_cap, new_top
            if moved <= TOLERANCE_K:
                return bare, under, cap, top, done
        raise RuntimeError(f"the balance at the surface did not settle in {_ROUNDS} rounds; take shorter steps")

    def count(
        self, bare: FloatArray, under: FloatArray, cap: FloatArray, top: FloatArray, weight: float, terms: FloatArray
    ) -> None:
        """Add what every term carried to `terms`."""
        skin = self.skin
        cover, clear = skin.cover, 1 - skin.cover
        terms[0] += weight * (clear * self.sun + cover * self.residue_sun)
        terms[1] += weight * self.sky
        terms[2] += weight * self.send * (clear * (bare + _K.kelvin_zero) ** 4 + cover * (cap + _K.kelvin_zero) ** 4)
        from_bare, from_cap = self._lively(bare) * (bare - self.air), self._lively(cap) * (cap - self.air)
        terms[3] += weight * self.give * (clear * from_bare + cover * from_cap)
        wet = self._wet(bare, skin.drag, open_air=True)[0]
        terms[4] += weight * (clear * wet + cover * self._wet(under, skin.residue_drag, open_air=False)[0])
        terms[5] += weight * (clear * (bare - top) + cover * (under - top)) / self.columns.top

    def _lively(self, face: FloatArray) -> FloatArray:
        """Return how much more the air carries because it rises from a warm face."""
        return np.asarray((1 + self.rise * np.maximum(face - self.air, 0)) ** _K.rise_exponent)

    def _open(self, face: FloatArray, sun: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return what radiation and air bring to a face, and how that changes per degree."""
        kelvin = face + _K.kelvin_zero
        cube = self.send * kelvin**3
        over = face - self.air
        carried = self.give * self._lively(face)
        lift = self.rise * np.maximum(over, 0)
        steep = carried * (1 + _K.rise_exponent * lift / (1 + lift))
        return sun + self.sky - cube * kelvin - carried * over, -4 * cube - steep

    def _wet(self, face: FloatArray, drag: FloatArray, *, open_air: bool) -> tuple[FloatArray, FloatArray]:
        """Return what evaporation takes, and how that changes per degree; under residue the air does not rise."""
        full = _saturated(face)
        steep = full * _VAPOUR.vapour_rate * _VAPOUR.vapour_degc / (face + _VAPOUR.vapour_degc) ** 2
        if not open_air:
            lift = self._allowed(full) * self.lift / (self.resistance + drag)
            return lift * (full - self.vapour), lift * steep
        lively = self._lively(face)
        path = self.resistance / lively
        lift = self._allowed(full) * self.lift / (path + drag)
        over = self.rise * np.maximum(face - self.air, 0)
        quicker = np.where(face > self.air, _K.rise_exponent * self.rise / (1 + over), 0)
        return lift * (full - self.vapour), lift * (steep + (full - self.vapour) * quicker * path / (path + drag))

    def _allowed(self, full: FloatArray) -> FloatArray:
        """Return the share of the full rate at which vapour leaves; dew falls at the full rate."""
        return np.where(full > self.vapour, self.wet, 1.0)


def _saturated(degc: FloatArray) -> FloatArray:
    return np.asarray(_VAPOUR.vapour_zero_kpa * np.exp(_VAPOUR.vapour_rate * degc / (degc + _VAPOUR.vapour_degc)))
