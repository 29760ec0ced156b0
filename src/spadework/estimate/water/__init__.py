"""How the top layer dries, and which days are fit for work."""
