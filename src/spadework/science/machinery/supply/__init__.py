"""Slurry on its way: rounds, links, who waits."""
