"""Machine widths and the shape of the field to plots, pegs and driving lines."""
