"""Draft, power, time, supply and diesel of every pass."""
