"""What a comparison can show before anything is sown."""
