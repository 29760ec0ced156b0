"""Files that are there whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

__all__ = ["CannotWrite", "write_bytes", "write_text"]


class CannotWrite(OSError):  # noqa: N818 (its own word)
    """A file cannot be written; says which and why."""


def write_text(path: Path, text: str) -> Path:
    """Write text as UTF-8, whole or not at all; see :func:`write_bytes`."""
    return write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, content: bytes) -> Path:
    """Write a file whole or not at all, and return its path.

    The content goes into a temporary file beside it, which then takes its name; what was there before stays until then.

    Raises
    ------
    CannotWrite
        If the folder cannot be made or written to, or the disk is full.
    """
    temporary: str | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        umask = os.umask(0)
        os.umask(umask)
        os.chmod(temporary, 0o666 & ~umask)
        os.replace(temporary, path)
    except OSError as error:
        if temporary is not None and os.path.exists(temporary):
            os.unlink(temporary)
        raise CannotWrite(f"{path} cannot be written ({error.strerror}); nothing was changed") from None
    return path
