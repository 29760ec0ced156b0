"""The host field in metres: outline, obstacles, water and fixed points, in a frame of its own.

Metres are true metres on the ground: a transverse Mercator projection with its middle in the field and scale 1 there.  East is
x, north is y.  Within the few kilometres of a field its lengths and areas are right to better than one part in a million.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from spadework.ranges import FloatArray

if TYPE_CHECKING:
    from shapely.geometry import MultiPolygon, Polygon
    from shapely.geometry.base import BaseGeometry

__all__ = ["Frame", "Host", "usable"]


@dataclass(frozen=True)
class Frame:
    """Local metres of one field.

    Attributes
    ----------
    latitude_deg, longitude_deg : float or None
        Middle of the projection, WGS 84 [degree]; None where the field came in metres without a place on the earth.
    """

    latitude_deg: float | None = None
    longitude_deg: float | None = None

    @property
    def placed(self) -> bool:
        """True where metres can be turned into degrees."""
        return self.latitude_deg is not None and self.longitude_deg is not None

    @cached_property
    def _turn(self) -> Any:
        from pyproj import Transformer

        if not self.placed:
            raise ValueError("the field has no place on the earth: it came in metres")
        here = f"+proj=tmerc +lat_0={self.latitude_deg!r} +lon_0={self.longitude_deg!r} +k=1 +ellps=WGS84 +units=m +type=crs"
        return Transformer.from_crs("EPSG:4326", here, always_xy=True)

    def metres(self, longitude_deg: FloatArray, latitude_deg: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return east and north [m] of places in degrees.

        Examples
        --------
        >>> import numpy as np
        >>> east, north = Frame(52.0, 9.0).metres(np.array([9.0]), np.array([52.001]))
        >>> f"{north[0]:.2f}"
        '111.27'
        """
        east, north = self._turn.transform(np.asarray(longitude_deg, float), np.asarray(latitude_deg, float))
        return np.asarray(east), np.asarray(north)

    def degrees(self, east_m: FloatArray, north_m: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return longitude and latitude [degree] of places in metres."""
        longitude, latitude = self._turn.transform(
            np.asarray(east_m, float), np.asarray(north_m, float), direction="INVERSE"
        )
        return np.asarray(longitude), np.asarray(latitude)


@dataclass(frozen=True)
class Host:
    """The field of the host.

    Attributes
    ----------
    name : str
        What the host calls it; may be empty.
    frame : Frame
        Where its metres lie.
    outline : Polygon
        In local metres, without holes.
    obstacles : tuple
        Poles, trees, hollows, islands: points, lines or polygons.
    water : tuple
        Ditches, streams, ponds, springs: points, lines or polygons.
    fixed : tuple
        Name, east and north [m] of points that can be found again, such as a gate post.
    told : tuple of str
        What was taken for granted while it was read.
    """

    name: str
    frame: Frame
    outline: Polygon
    obstacles: tuple[BaseGeometry, ...] = ()
    water: tuple[BaseGeometry, ...] = ()
    fixed: tuple[tuple[str, float, float], ...] = ()
    told: tuple[str, ...] = field(default=())

    @property
    def area_ha(self) -> float:
        """Area inside the outline, obstacles included [ha]."""
        return float(self.outline.area) / 10_000.0


def usable(host: Host, side_m: float, obstacle_m: float, water_m: float) -> Polygon | MultiPolygon:
    """Return the ground on which a plot may lie, before room to turn is thought of.

    Parameters
    ----------
    host : Host
        The field.
    side_m : float
        Distance kept from the outline [m], 0 or more.
    obstacle_m, water_m : float
        Distance kept from obstacles and from water [m], 0 or more.
    """
    from shapely import union_all

    ground: Any = host.outline.buffer(-side_m, join_style="mitre")
    kept = [o.buffer(max(obstacle_m, 0.01)) for o in host.obstacles] + [
        w.buffer(max(water_m, 0.01)) for w in host.water
    ]
    return ground.difference(union_all(kept)) if kept else ground
