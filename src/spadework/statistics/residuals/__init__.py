"""What is left of the readings, and what neighbours say."""
