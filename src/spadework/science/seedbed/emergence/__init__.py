"""When plants come up, and how many stand."""
