"""What readings say, once statistics have looked at them."""
