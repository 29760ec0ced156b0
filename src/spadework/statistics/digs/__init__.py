"""Units, scatter, limits and rules of when to stop digging."""
