"""Arrays in, arrays out: models of machines, slurry, band and seedbed.  No files, no state, no plan."""
