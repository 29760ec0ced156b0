"""Warmth of soil and surface."""
