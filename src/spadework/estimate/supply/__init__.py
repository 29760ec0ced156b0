"""Other ways of bringing the slurry, worked out beside the worksheet."""
