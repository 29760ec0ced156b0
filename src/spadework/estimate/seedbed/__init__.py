"""Warmth of the ground of every system, and when maize comes up."""
