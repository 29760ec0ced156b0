"""What it costs, in three views, and whether it is done in time."""
