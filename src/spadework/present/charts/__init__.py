"""Charts, one Vega-Lite specification each."""
