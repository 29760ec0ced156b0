"""What machines cost, and what being late costs."""
