"""The seedbed: warmth, emergence, water, stand, and residue on photos."""
