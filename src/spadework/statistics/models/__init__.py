"""Mixed models with tests for few blocks."""
