"""What a comparison found, and what harvests and several fields say."""
