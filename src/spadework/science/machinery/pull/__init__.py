"""Draft, grip, power and diesel of a pass."""
