"""Residue on the ground: mass, cover, decay, counts along a tape."""
