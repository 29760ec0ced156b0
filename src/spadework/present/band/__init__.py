"""The band under the row, as text, page and strip of cuts."""
