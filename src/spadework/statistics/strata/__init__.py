"""Tables of error strata, where everything meets evenly."""
