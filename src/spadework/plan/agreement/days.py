"""Whether what a plan says of fit days agrees with itself, and whether they can be worked out where it does not give them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from spadework.plan.faults import Fault

if TYPE_CHECKING:
    from spadework.plan.as_read import Read
    from spadework.plan.schema.plan import Farm

__all__ = ["faults", "worked_out"]


def worked_out(farm: Farm) -> bool:
    """Tell whether fit days, or how they follow one another, are to be worked out from the weather."""
    return farm.fit_moisture is not None and (farm.fit_days is None or farm.stay_fit is None)


def faults(read: Read) -> Iterator[Fault]:
    """Yield everything about fit days that does not agree."""
    farm, weather = read.plan.farm, read.plan.weather
    if farm is None:
        return
    if farm.fit_days is None and farm.fit_moisture is None:
        what = (
            'is missing: give the chance that a day is fit, fit_days = "55 %", or your own limit of moisture, '
            'fit_moisture = "80 %", to have it worked out from the weather'
        )
        yield read.fault(what, "farm", "fit_days")
    if farm.fit_moisture is None and "fit_moisture_of" in farm.model_fields_set:
        what = (
            'says what fit_moisture is a share of, but that is not there; give fit_moisture = "80 %", or leave both out'
        )
        yield read.fault(what, "farm", "fit_moisture_of")
    if farm.fit_moisture is None:
        return
    if farm.fit_moisture_of == "plastic limit" and read.plan.field.plastic_limit is None:
        what = 'fit_moisture is a share of the plastic limit; give that of this field, e.g. plastic_limit = "21 %"'
        yield read.fault(what, "field", "plastic_limit")
    if not worked_out(farm):
        return
    if weather.file is None:
        what = (
            "fit days are worked out from hours of weather: give a file in [weather], of ten years if you can; or give "
            "fit_days and stay_fit yourself"
        )
        yield read.fault(what, "farm", "fit_moisture")
    elif weather.latitude is None and weather.layout == "columns":  # the head of other layouts may say it
        what = "fit days are worked out from sun and air: say the latitude of the place, e.g. latitude = 52.3"
        yield read.fault(what, "weather", "latitude")
