"""Evaporation, the drying of the top layer, fit days."""
