"""Making sure that files and folders are on the disk, so that they are there after the power went."""

from __future__ import annotations

import os
from pathlib import Path

__all__ = ["to_disk", "tree_to_disk"]


def to_disk(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def tree_to_disk(folder: Path) -> None:
    """Wait until all files of a folder, and the names of all of them, are on the disk."""
    for inside, _, names in os.walk(folder):
        for name in names:
            to_disk(Path(inside) / name)
        to_disk(Path(inside))
