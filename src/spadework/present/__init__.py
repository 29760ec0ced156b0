"""Drawings, charts, tables and reports: what people look at."""
