"""Wheels of tractors and machines in a plan: what stands on the ground, axle by axle."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field as Key

from spadework.plan import measures as m
from spadework.plan.schema.parts import Part

__all__ = ["HitchHeight", "HitchOverhang", "ManyWheels", "Wheelbase", "Wheels"]

TyreWidth = Annotated[m.Quantity, m.Measure(("cm",), 10, 150, "65 cm", exact=True)]
TyreDiameter = Annotated[m.Quantity, m.Measure(("cm",), 40, 250, "150 cm", exact=True)]
TyrePressure = Annotated[m.Quantity, m.Measure(("kPa",), 20, 900, "120 kPa")]
Gauge = Annotated[m.Quantity, m.Measure(("m",), 0.5, 8, "1.9 m", exact=True)]
AxleShare = Annotated[m.Quantity, m.Measure(("%",), 5, 100, "42 %", exact=True)]
Wheelbase = Annotated[m.Quantity, m.Measure(("m",), 1.4, 4.5, "2.7 m", exact=True)]
HitchHeight = Annotated[m.Quantity, m.Measure(("cm",), 20, 150, "50 cm", exact=True)]
HitchOverhang = Annotated[m.Quantity, m.Measure(("cm",), 10, 300, "90 cm", exact=True)]
Apart = Annotated[m.Quantity, m.Measure(("cm",), 10, 300, "75 cm", exact=True)]


class Wheels(Part):
    """The wheels of one axle."""

    axle: Literal["front", "middle", "rear"] = Key(description="Which axle; tractors have front and rear")
    tyre_width: TyreWidth = Key(description="Width of a tyre, as printed on it or measured")
    tyre_diameter: TyreDiameter = Key(description="Diameter of a tyre without load")
    pressure: TyrePressure = Key(description="Tyre pressure in the field")
    gauge: Gauge = Key(
        description="Middle to middle of the left and right wheel; of the inner ones where there are twins"
    )
    count: Literal[2, 4, 6] = Key(2, description="Wheels on the axle, twins counted one by one: 2, 4 or 6")
    apart: Apart | None = Key(
        None, description="Middle to middle of twins on one side; left out: a tyre's width and a tenth"
    )
    share: AxleShare | None = Key(
        None,
        description="Share of the vehicle's mass on this axle when it stands alone; of a drawn machine, coupled; "
        "left out: the usual",
    )


ManyWheels = Annotated[list[Wheels], Key(max_length=3)]
