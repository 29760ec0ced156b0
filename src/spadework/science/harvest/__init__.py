"""The harvest: weighed strips, samples of dry matter, and logs of machines that measure flow."""

from spadework.science.harvest.log_clean import CROPS, STEPS, Cleaned, Step, clean_log
from spadework.science.harvest.log_delay import DelayCurve, delay_curve, shifted_flow
from spadework.science.harvest.log_neighbours import LocalMoran, local_moran
from spadework.science.harvest.log_place import metres_from_middle, numbered_passes, pass_heading
from spadework.science.harvest.log_rate import (
    StripMeans,
    log_factor,
    point_area,
    point_yield,
    strip_means,
    times_between,
)
from spadework.science.harvest.mass import (
    dry_matter_yield,
    fermented_dry_matter,
    relative_yield_se,
    shrink,
    strip_yield,
    weighing_se,
    yield_at_dry_matter,
    yield_at_moisture,
)
from spadework.science.harvest.samples import LoadSamples, sampled_dry_matter

__all__ = [
    "CROPS",
    "STEPS",
    "Cleaned",
    "DelayCurve",
    "LoadSamples",
    "LocalMoran",
    "Step",
    "StripMeans",
    "clean_log",
    "delay_curve",
    "dry_matter_yield",
    "fermented_dry_matter",
    "local_moran",
    "log_factor",
    "metres_from_middle",
    "numbered_passes",
    "pass_heading",
    "point_area",
    "point_yield",
    "relative_yield_se",
    "sampled_dry_matter",
    "shifted_flow",
    "shrink",
    "strip_means",
    "strip_yield",
    "times_between",
    "weighing_se",
    "yield_at_dry_matter",
    "yield_at_moisture",
]
