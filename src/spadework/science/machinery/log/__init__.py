"""Position logs: from points to runs, turns and stops."""
