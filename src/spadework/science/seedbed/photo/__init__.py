"""Residue cover on photos."""
