"""Photos as cameras write them: pixels the right way up, and time and place where the file says them.

Read where they lie.  Nothing is sent anywhere, and nothing is written beside a photo.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import stat
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from spadework import reference
from spadework.plan import Fault, PlanFaults

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["Photo", "png_of_classes", "read_photo"]

_MOST_PIXELS: Final = int(reference.constants("photo_limits").pixels_most)
_ALLOWED: Final = f"allowed: up to {_MOST_PIXELS // 1_000_000} million pixels"
_LARGEST_FILE: Final = 300_000_000
_FORMATS: Final = ("JPEG", "PNG", "TIFF")
_COLOURS: Final = ("RGB", "RGBA", "RGBX", "P", "PA", "CMYK", "YCbCr")
_EXIF, _GPS = 0x8769, 0x8825
_TAKEN, _OFFSET = 36867, 36881
_WHEN: Final = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)")
_ZONE: Final = re.compile(r"([+-])(\d\d):(\d\d)")


@dataclass(frozen=True)
class Photo:
    """A photo as it was read.

    Attributes
    ----------
    name : str
        Name of the file, without its folder.
    picture : NDArray
        Height x width x 3 bytes: red, green, blue; the right way up.
    taken : datetime or None
        When, as the camera's clock had it; with its zone where the file says one, and None where it says nothing.
    latitude, longitude : float or None
        Where, in degrees, north and east positive.
    """

    name: str
    picture: NDArray[np.uint8]
    taken: dt.datetime | None
    latitude: float | None
    longitude: float | None


def read_photo(path: Path) -> Photo:
    """Read a JPEG, PNG or TIFF file.

    Parameters
    ----------
    path : Path
        The file; what it is shows in its content, not in its name.

    Returns
    -------
    Photo
        Pixels, time and place.

    Raises
    ------
    PlanFaults
        If the packages for photos are not there, or the file cannot be read, is broken, too large or without colours.
    """
    try:
        from PIL import Image, ImageOps, UnidentifiedImageError
    except ImportError:
        what = 'photos need packages that are not there; get them with: pip install "spadework[photo]"'
        raise PlanFaults([Fault("", what)], "the command") from None
    data = _content(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # size is judged here, and a camera's odd marks do not harm the picture
            with Image.open(io.BytesIO(data), formats=_FORMATS) as opened:
                _judge(opened, path)
                about = _about(opened)
                opened.load()
                picture = np.array(ImageOps.exif_transpose(opened).convert("RGB"), dtype=np.uint8)
    except UnidentifiedImageError:
        raise _fault(path, "is no photo that can be read; allowed: JPEG, PNG or TIFF") from None
    except Image.DecompressionBombError:
        raise _fault(path, f"has far too many pixels; {_ALLOWED}") from None
    except PlanFaults:
        raise
    except Exception as error:  # noqa: BLE001 RUF100 (a broken file can make the reader fail in any way)
        raise _fault(
            path, f"is broken or was cut off on the way ({_short(error)}); copy it from the camera again"
        ) from None
    return Photo(path.name, picture, *about)


def png_of_classes(classes: NDArray[np.uint8], tones: Mapping[int, tuple[int, int, int]]) -> bytes:
    """Return a class map as a PNG file, each class in its tone.

    Parameters
    ----------
    classes : NDArray
        Class of every pixel.
    tones : Mapping
        Red, green and blue of every class, 0 to 255.
    """
    from PIL import Image

    picture = Image.fromarray(np.ascontiguousarray(classes))
    palette = [0] * 768
    for one, tone in tones.items():
        palette[3 * one : 3 * one + 3] = tone
    picture.putpalette(palette)
    with io.BytesIO() as held:
        picture.save(held, "PNG")
        return held.getvalue()


def _content(path: Path) -> bytes:
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            what = "is no file; name the photos one by one"
        elif about.st_size > _LARGEST_FILE:
            what = f"is too large; allowed: up to {_LARGEST_FILE // 1_000_000} MB"
        elif about.st_size == 0:
            what = "holds nothing; copy it from the camera again"
        else:
            return path.read_bytes()
    except FileNotFoundError:
        what = "there is no such file"
    except (OSError, ValueError) as error:
        what = f"cannot be read ({getattr(error, 'strerror', None) or error})"
    raise _fault(path, what)


def _judge(opened: Image, path: Path) -> None:
    wide, high = opened.size
    if wide * high > _MOST_PIXELS:
        raise _fault(path, f"has {wide * high / 1e6:.0f} million pixels; {_ALLOWED}")
    if opened.mode not in _COLOURS:
        raise _fault(path, "holds no colours of 8 bits, without which residue and plants cannot be told apart")


def _about(opened: Image) -> tuple[dt.datetime | None, float | None, float | None]:
    """Return time and place; what a file says in an odd way counts as not said."""
    try:
        marks = opened.getexif()
        inner, place = marks.get_ifd(_EXIF), marks.get_ifd(_GPS)
    except Exception:  # noqa: BLE001 RUF100 (as above; the picture itself may still be sound)
        return None, None, None
    return (
        _time(inner.get(_TAKEN), inner.get(_OFFSET)),
        _degrees(place.get(2), place.get(1), "NS", 90),
        _degrees(place.get(4), place.get(3), "EW", 180),
    )


def _time(taken: object, offset: object) -> dt.datetime | None:
    found = _WHEN.match(str(taken)) if taken is not None else None
    if found is None:
        return None
    try:
        when = dt.datetime(*(int(part) for part in found.groups()))  # type: ignore[arg-type]
    except ValueError:
        return None
    zone = _ZONE.match(str(offset)) if offset is not None else None
    if zone is None:
        return when
    away = dt.timedelta(hours=int(zone[2]), minutes=int(zone[3]))
    if away >= dt.timedelta(hours=24):
        return when
    return when.replace(tzinfo=dt.timezone(-away if zone[1] == "-" else away))


def _degrees(parts: Any, side: Any, sides: str, most: float) -> float | None:
    try:
        degrees, minutes, seconds = (float(part) for part in parts)
        letter = str(side).strip("\0 ").upper()
        value = degrees + minutes / 60 + seconds / 3600
    except (TypeError, ValueError, ZeroDivisionError):
        return None
    if letter not in sides or len(letter) != 1 or not 0 <= value <= most:
        return None
    return -value if letter == sides[1] else value


def _fault(path: Path, what: str) -> PlanFaults:
    text = str(path)
    return PlanFaults([Fault("", what)], text if len(text) <= 60 else "..." + text[-57:])


def _short(error: Exception) -> str:
    return (" ".join(str(error).split()) or type(error).__name__)[:60]
