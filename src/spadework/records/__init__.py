"""What was measured: how readings are written down, and read from the files and sheets that people fill in."""
