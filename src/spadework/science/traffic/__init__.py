"""Wheels on the soil: contact, stress in depth, and the share of the ground that is driven on."""
