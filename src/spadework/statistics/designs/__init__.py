"""Layouts of a comparison, and how they are drawn."""
