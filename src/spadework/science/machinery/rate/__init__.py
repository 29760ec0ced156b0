"""Field time: runs, headlands, turns, hectares an hour."""
