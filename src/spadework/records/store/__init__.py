"""The store of readings, which only grows."""
