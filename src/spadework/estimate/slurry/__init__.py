"""What the slurry holds, loses and leaves to the crop."""
