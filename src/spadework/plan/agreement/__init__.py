"""Whether the parts of a plan agree with one another, part by part."""
