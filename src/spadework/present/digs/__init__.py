"""Digs across the row: sheets to take along, what they say, and the card for the driver."""
