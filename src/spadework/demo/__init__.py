"""The demo comparison: an invented farm with real open weather."""
