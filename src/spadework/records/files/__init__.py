"""Files filled in outdoors, one module for each kind."""
