"""A report of its own, without an estimate behind it, written as a page, as a print, or as both."""

from __future__ import annotations

from pathlib import Path

from spadework.present.document.blocks import Report
from spadework.present.files import write_bytes

__all__ = ["write_pages"]


def write_pages(report: Report, html: Path | None, pdf: Path | None) -> list[Path]:
    """Write the page, the print, or both; both are made before the first is written."""
    ready: list[tuple[Path, bytes]] = []
    if html is not None:
        from spadework.present.document.page import page

        ready.append((html, page(report).encode("utf-8")))
    if pdf is not None:
        from spadework.present.document.paper import printed

        ready.append((pdf, printed(report)))
    return [write_bytes(path, content) for path, content in ready]
