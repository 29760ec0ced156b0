"""Ways of establishing maize on livestock slurry, side by side: plan, estimate, tell."""

from typing import Final

__version__: Final = "0.1.0"
__all__ = ["__version__"]
