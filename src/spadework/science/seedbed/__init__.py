"""The soil surface and the seedbed: residue, how it is counted, what it holds back."""

from spadework.science.seedbed.erosion import water_loss_ratio, wind_loss_ratio
from spadework.science.seedbed.residue import (
    area_weighted_cover,
    cover_after_mass_retention,
    cover_after_pass,
    cover_from_mass,
    cover_together,
    decay,
    decay_rate,
    mass_from_cover,
    tilled_share,
)
from spadework.science.seedbed.tape import (
    aliased,
    hits_to_prove,
    phase_drift,
    points_needed,
    points_per_row,
    power_to_prove,
)
from spadework.science.seedbed.transect import (
    binomial_se,
    design_effect,
    exact_high,
    exact_low,
    lines_half_width,
    normal_quantile,
    stratified_se,
    wilson_high,
    wilson_low,
)

__all__ = [
    "aliased",
    "area_weighted_cover",
    "binomial_se",
    "cover_after_mass_retention",
    "cover_after_pass",
    "cover_from_mass",
    "cover_together",
    "decay",
    "decay_rate",
    "design_effect",
    "exact_high",
    "exact_low",
    "hits_to_prove",
    "lines_half_width",
    "mass_from_cover",
    "normal_quantile",
    "phase_drift",
    "points_needed",
    "points_per_row",
    "power_to_prove",
    "stratified_se",
    "tilled_share",
    "water_loss_ratio",
    "wilson_high",
    "wilson_low",
    "wind_loss_ratio",
]
