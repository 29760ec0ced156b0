"""What goes outdoors on paper and comes back filled in: sheets, labels, calendar."""
