"""What readings can bear: variances, means, limits, shares and numbers of digs, arrays in and arrays out."""

from spadework.statistics.digs.digs_needed import (
    digs_per_unit,
    mean_se,
    readings_for_extremes,
    readings_for_mean,
    units_for_mean,
)
from spadework.statistics.digs.one_way import (
    Components,
    Mean,
    Units,
    components_anova,
    components_reml,
    mean_of_all,
    sort_by_unit,
)
from spadework.statistics.digs.sequential import (
    bound_estimated,
    bound_known,
    evidence,
    readings_on_average,
    unit_mean_sd,
    verdict,
)
from spadework.statistics.digs.share_inside import Share, share_inside
from spadework.statistics.digs.tolerance import (
    Draws,
    half_width_for_share,
    k_one_sided,
    k_two_sided,
    limit_above,
    limit_below,
    limits_around,
    pivotal_draws,
)

__all__ = [
    "Components",
    "Draws",
    "Mean",
    "Share",
    "Units",
    "bound_estimated",
    "bound_known",
    "components_anova",
    "components_reml",
    "digs_per_unit",
    "evidence",
    "half_width_for_share",
    "k_one_sided",
    "k_two_sided",
    "limit_above",
    "limit_below",
    "limits_around",
    "mean_of_all",
    "mean_se",
    "pivotal_draws",
    "readings_for_extremes",
    "readings_for_mean",
    "readings_on_average",
    "share_inside",
    "sort_by_unit",
    "unit_mean_sd",
    "units_for_mean",
    "verdict",
]
