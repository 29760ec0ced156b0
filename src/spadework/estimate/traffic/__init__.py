"""What presses on the soil."""
