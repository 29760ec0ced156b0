"""The weather of a plan: files of any layout to unbroken hours."""
