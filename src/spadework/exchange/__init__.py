"""Files of others, read where they lie: photos of the ground."""
