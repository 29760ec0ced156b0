"""The parts of a plan as checked objects."""
