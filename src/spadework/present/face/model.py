"""What the soil face draws: one system, in centimetres, already worked out.

All depths are in centimetres below the press-wheel track over the row, positive downwards.  Places across the rows are
in centimetres from the left-hand row of the drawing; the right-hand row lies one row spacing further.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from spadework.ranges import require

__all__ = ["Band", "Caption", "Dig", "Face", "Loosened", "Press", "PressLine", "Spread", "WheelTrack"]

_DEEPEST_CM = 120.0
_WIDEST_CM = 300.0


@dataclass(frozen=True)
class Spread:
    """A figure with the interval that is printed beside it; all three in the same unit."""

    mid: float
    low: float
    high: float

    def __post_init__(self) -> None:
        for name, value in (("mid", self.mid), ("low", self.low), ("high", self.high)):
            require(name, value, -1e9, 1e9)
        if not self.low <= self.mid <= self.high:
            raise ValueError(f"a spread must run low, mid, high; got {self.low:g}, {self.mid:g}, {self.high:g}")

    @classmethod
    def exact(cls, value: float) -> Spread:
        """Return a figure without spread.

        Examples
        --------
        >>> Spread.exact(22.0)
        Spread(mid=22.0, low=22.0, high=22.0)
        """
        return cls(value, value, value)


@dataclass(frozen=True)
class Loosened:
    """Ground that a pass has moved.

    Parameters
    ----------
    shape : "full" or "strip"
        Over the whole width, or one strip under each row.
    depth_cm : Spread
        Floor of the moved ground [cm].
    width_cm : float
        Strip: width at the surface [cm].  Turned ground: width of the furrow slice [cm]; 0 draws slices by depth.
    floor_width_cm : float
        Strip: width at the floor [cm]; 0 draws two fifths of the width at the surface.
    turned : bool
        True where the ground is turned over, as by a mouldboard.
    """

    shape: Literal["full", "strip"]
    depth_cm: Spread
    width_cm: float = 0.0
    floor_width_cm: float = 0.0
    turned: bool = False

    def __post_init__(self) -> None:
        if self.shape not in ("full", "strip"):
            raise ValueError(f'`shape` of loosened ground is "{self.shape}"; it must be "full" or "strip"')
        require("depth_cm", self.depth_cm.low, 0, _DEEPEST_CM, "cm")
        require("depth_cm", self.depth_cm.high, 0, _DEEPEST_CM, "cm", above=True)
        require("width_cm", self.width_cm, 0, _WIDEST_CM, "cm", above=self.shape == "strip")
        require("floor_width_cm", self.floor_width_cm, 0, self.width_cm if self.shape == "strip" else _WIDEST_CM, "cm")


@dataclass(frozen=True)
class Band:
    """Slurry in the ground or on it.

    Parameters
    ----------
    top_cm : Spread
        Depth of the upper edge [cm].
    centre_cm, half_height_cm, half_width_cm : float
        Middle and half sizes [cm].  The lower edge is ``centre_cm + half_height_cm``.
    offset_cm : float
        How far the middle lies right of the row [cm].
    shape : str
        ``round`` band; ``wide`` flat band behind a sweep; ``mixed`` through the tilled layer between upper and lower
        edge; ``buried``, turned under between those depths; ``surface``, left lying.
    overflow_half_width_cm : float
        Half the width of slurry that has come up to the surface over the row [cm]; 0 for none.
    """

    top_cm: Spread
    centre_cm: float
    half_height_cm: float
    half_width_cm: float
    offset_cm: float = 0.0
    shape: Literal["round", "wide", "mixed", "buried", "surface"] = "round"
    overflow_half_width_cm: float = 0.0

    def __post_init__(self) -> None:
        if self.shape not in ("round", "wide", "mixed", "buried", "surface"):
            raise ValueError(f'`shape` of the slurry is "{self.shape}"; see Band for the shapes that can be drawn')
        require("centre_cm", self.centre_cm, -10, _DEEPEST_CM, "cm")
        require("half_height_cm", self.half_height_cm, 0, _DEEPEST_CM, "cm", above=self.shape != "surface")
        require("half_width_cm", self.half_width_cm, 0, _WIDEST_CM, "cm", above=True)
        require("offset_cm", self.offset_cm, -_WIDEST_CM, _WIDEST_CM, "cm")
        require("overflow_half_width_cm", self.overflow_half_width_cm, 0, _WIDEST_CM, "cm")
        if self.shape != "surface":
            require("top_cm", self.top_cm.low, -_DEEPEST_CM, self.bottom_cm, "cm")
            require("top_cm", self.top_cm.high, -_DEEPEST_CM, self.bottom_cm, "cm")

    @property
    def bottom_cm(self) -> float:
        """Depth of the lower edge [cm]."""
        return self.centre_cm + self.half_height_cm


@dataclass(frozen=True)
class WheelTrack:
    """Where a wheel has run.  Place and width are drawn to scale, the depth of the rut is only hinted at."""

    centre_cm: float
    width_cm: float
    label: str

    def __post_init__(self) -> None:
        require("centre_cm", self.centre_cm, -1000, 1000, "cm")
        require("width_cm", self.width_cm, 0, _WIDEST_CM, "cm", above=True)


@dataclass(frozen=True)
class Dig:
    """What a spade face showed: drawn as dots.  `x_cm` counts from the left-hand row of the drawing."""

    x_cm: float
    seed_depth_cm: float
    band_top_cm: float
    band_bottom_cm: float

    def __post_init__(self) -> None:
        for name, value in (
            ("seed_depth_cm", self.seed_depth_cm),
            ("band_top_cm", self.band_top_cm),
            ("band_bottom_cm", self.band_bottom_cm),
        ):
            require(name, value, -20, _DEEPEST_CM, "cm")
        if self.band_bottom_cm < self.band_top_cm:
            raise ValueError(f"band bottom {self.band_bottom_cm:g} cm lies above band top {self.band_top_cm:g} cm")


@dataclass(frozen=True)
class PressLine:
    """A line of equal stress under a wheel.

    Parameters
    ----------
    stress_kpa : float
        The stress [kPa].
    outlines : tuple of tuple
        Closed outlines of the ground in which the stress is above it, each a row of points: place across and depth [cm].
    """

    stress_kpa: float
    outlines: tuple[tuple[tuple[float, float], ...], ...]

    def __post_init__(self) -> None:
        require("stress_kpa", self.stress_kpa, 0, 5000, "kPa", above=True)

    @property
    def deepest_cm(self) -> float:
        """Depth that the line reaches [cm]; nil where there is no line."""
        return max((depth for outline in self.outlines for _, depth in outline), default=0.0)


@dataclass(frozen=True)
class Press:
    """A wheel that has stood over the cut, and lines of equal stress under it.

    Parameters
    ----------
    label, said : str
        What stands on the ground, for the key; and the same with its stress, for those who hear the drawing.
    tyres : tuple of tuple
        Middle and width of each tyre [cm], places counted from the left-hand row.
    lines : tuple of PressLine
        Lines of equal stress, from the least stress on.
    typical : bool
        True where the tyre is a typical one and not that of the plan: its outline is dashed.
    """

    label: str
    said: str
    tyres: tuple[tuple[float, float], ...]
    lines: tuple[PressLine, ...] = ()
    typical: bool = False

    def __post_init__(self) -> None:
        for centre, width in self.tyres:
            require("centre_cm", centre, -1000, 1000, "cm")
            require("width_cm", width, 0, _WIDEST_CM, "cm", above=True)

    @property
    def deepest_cm(self) -> float:
        """Depth that the deepest line reaches [cm]."""
        return max((line.deepest_cm for line in self.lines), default=0.0)


@dataclass(frozen=True)
class Caption:
    """A figure under the drawing, formatted: ``Caption("143", "EUR/ha", "cost", "121 to 168")``."""

    value: str
    unit: str
    label: str
    spread: str


@dataclass(frozen=True)
class Face:
    """One system as the soil face shows it.

    Parameters
    ----------
    name, description : str
        Name of the system, and its chain of passes in one line.
    row_spacing_cm : float
        Distance between rows [cm].
    loosened : tuple of Loosened
        Moved ground, drawn in this order.
    residue_strip_share, residue_between_share : float
        Share of the surface that residue covers in the strip and between strips [1], 0 to 1.  Without a strip both must
        be the same.
    residue_spread : str
        Interval of the cover, formatted, or empty.
    seed_depth_cm : float
        Depth of the seed [cm].
    seed : bool
        False where nothing has been sown.
    band : Band, optional
        The slurry.
    gap : Spread, optional
        From seed to the upper edge of the band [cm]; needs a seed and a round or wide band.
    firmed_rise_cm : float
        Height of the press-wheel track over the undisturbed surface [cm].
    tracks, digs, captions, warnings : tuple
        Wheel tracks, measured faces, figures under the drawing, and sentences of caution.
    standing, note : str
        What the evidence is, printed as a stamp; and one more line below the figures.
    reference : str
        What the zero of the depth axis is.
    press : Press, optional
        A wheel with lines of equal stress under it.
    """

    name: str
    description: str
    row_spacing_cm: float
    loosened: tuple[Loosened, ...] = ()
    residue_strip_share: float = 0.0
    residue_between_share: float = 0.0
    residue_spread: str = ""
    seed_depth_cm: float = 0.0
    seed: bool = True
    band: Band | None = None
    gap: Spread | None = None
    firmed_rise_cm: float = 0.0
    tracks: tuple[WheelTrack, ...] = ()
    digs: tuple[Dig, ...] = ()
    captions: tuple[Caption, ...] = ()
    standing: str = "estimated"
    note: str = ""
    warnings: tuple[str, ...] = ()
    reference: str = "press-wheel track"
    press: Press | None = None

    def __post_init__(self) -> None:
        require("row_spacing_cm", self.row_spacing_cm, 20, _WIDEST_CM, "cm")
        require("residue_strip_share", self.residue_strip_share, 0, 1)
        require("residue_between_share", self.residue_between_share, 0, 1)
        require("seed_depth_cm", self.seed_depth_cm, 0, 30, "cm")
        require("firmed_rise_cm", self.firmed_rise_cm, -20, 20, "cm")
        require("width_cm", self.strip_width_cm, 0, self.row_spacing_cm, "cm")
        if not self.strip_width_cm and self.residue_strip_share != self.residue_between_share:
            raise ValueError("residue differs between strip and the ground beside it, but no strip is loosened")
        if self.gap is not None and (not self.seed or self.band is None or self.band.shape not in ("round", "wide")):
            raise ValueError("a gap needs a seed and a round or wide band of slurry")

    @property
    def strip_width_cm(self) -> float:
        """Width of the widest loosened strip at the surface [cm]; 0 without a strip."""
        return max((part.width_cm for part in self.loosened if part.shape == "strip"), default=0.0)

    @property
    def left_cm(self) -> float:
        """Left edge of the cut [cm from the left-hand row]."""
        return -self.row_spacing_cm / 2

    @property
    def right_cm(self) -> float:
        """Right edge of the cut [cm from the left-hand row]."""
        return 1.5 * self.row_spacing_cm

    @property
    def rows_cm(self) -> tuple[float, float]:
        """Places of the two rows [cm]."""
        return 0.0, self.row_spacing_cm
