"""The soil face: every system drawn to scale as a cut through the ground."""
