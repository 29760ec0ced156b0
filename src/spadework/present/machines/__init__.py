"""Machines at work: match, supply, money, dose, time, pressure, and when to go."""
