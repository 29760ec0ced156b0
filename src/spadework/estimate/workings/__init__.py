"""How a figure came about, told as a worked example."""
