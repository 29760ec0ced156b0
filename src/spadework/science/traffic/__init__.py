"""Wheels on the soil: contact, stress in depth, and the share of the ground that is driven on."""

from spadework.science.traffic.contact import (
    circle_radius,
    contact_area_by_stress,
    contact_area_hard_osullivan,
    contact_area_soft_osullivan,
    contact_stress,
    peak_stress,
    printed_area,
    super_ellipse_area,
)
from spadework.science.traffic.ground_map import stress_section, stress_under_wheels
from spadework.science.traffic.limits import (
    deeper_by_thumb,
    depth_of_stress,
    stress_to_limit,
    wheel_load_for_limit,
)
from spadework.science.traffic.load_shift import (
    axle_pressing,
    front_change_drawn,
    front_change_mounted,
    rear_gain_drawn,
    rear_gain_mounted,
)
from spadework.science.traffic.stress import (
    point_load_stress,
    stress_beside_even,
    stress_beside_spread,
    stress_under_even,
    stress_under_parabola,
    stress_under_spread,
)
from spadework.science.traffic.wheel_loads import (
    axle_load,
    front_axle_load,
    load_on_board,
    mass_at_fill,
    mean_load_of_run,
    rear_axle_load,
    share_left,
    wheel_load,
)
from spadework.science.traffic.wheeled import (
    driven_at_least,
    driven_at_least_by_chance,
    driven_by_chance,
    track_edges,
    wheeled_share,
)

__all__ = [
    "axle_load",
    "axle_pressing",
    "circle_radius",
    "contact_area_by_stress",
    "contact_area_hard_osullivan",
    "contact_area_soft_osullivan",
    "contact_stress",
    "deeper_by_thumb",
    "depth_of_stress",
    "driven_at_least",
    "driven_at_least_by_chance",
    "driven_by_chance",
    "front_axle_load",
    "front_change_drawn",
    "front_change_mounted",
    "load_on_board",
    "mass_at_fill",
    "mean_load_of_run",
    "peak_stress",
    "point_load_stress",
    "printed_area",
    "rear_axle_load",
    "rear_gain_drawn",
    "rear_gain_mounted",
    "share_left",
    "stress_beside_even",
    "stress_beside_spread",
    "stress_section",
    "stress_to_limit",
    "stress_under_even",
    "stress_under_parabola",
    "stress_under_spread",
    "stress_under_wheels",
    "super_ellipse_area",
    "track_edges",
    "wheel_load",
    "wheel_load_for_limit",
    "wheeled_share",
]
