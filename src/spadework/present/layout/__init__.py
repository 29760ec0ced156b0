"""A layout on its field: map, pages for drivers, tables."""
