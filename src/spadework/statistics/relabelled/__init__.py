"""Chances by dealing the labels out again."""
