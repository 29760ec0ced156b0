"""Sheets of a comparison: one definition makes paper, workbook and CSV."""
