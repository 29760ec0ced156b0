"""Versions of the tables of the store, from the first on; a store is brought up to the newest when it is opened."""
