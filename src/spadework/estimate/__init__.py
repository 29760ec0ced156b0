"""Science run over a plan: system x draw, every figure with its working."""

from spadework.estimate.in_one_line import one_line
from spadework.estimate.result import SHARE_PRINTED, Difference, Estimate, Spread
from spadework.estimate.run import DRAWS, SEED, check_fit, estimate
from spadework.estimate.workings.example import Working, working, working_text
from spadework.estimate.workings.explain import Line, lines_of

__all__ = [
    "DRAWS",
    "SEED",
    "SHARE_PRINTED",
    "Difference",
    "Estimate",
    "Line",
    "Spread",
    "Working",
    "check_fit",
    "estimate",
    "lines_of",
    "one_line",
    "working",
    "working_text",
]
