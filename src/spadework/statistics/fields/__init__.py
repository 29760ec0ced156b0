"""Several fields taken together."""
