"""Every constant of the outside world: tables with their sources, and the one loader that reads them."""

from spadework.reference._tables import (
    STANDINGS,
    Citation,
    Constants,
    Entry,
    Row,
    Source,
    Table,
    constants,
    load,
    sources,
    table_names,
)

__all__ = [
    "STANDINGS",
    "Citation",
    "Constants",
    "Entry",
    "Row",
    "Source",
    "Table",
    "constants",
    "load",
    "sources",
    "table_names",
]
