"""What a layout on the field needs beyond the machines: header, guard rows, tramlines, room to turn, lane, ends."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, StringConstraints
from pydantic import Field as Key

from spadework.plan.measures import Measure, Quantity, Width
from spadework.plan.schema.parts import Part, one_line

__all__ = ["Layout"]

Gauge = Annotated[Quantity, Measure(("m",), 0.5, 8, "1.8 m", exact=True)]
Turning = Annotated[Quantity, Measure(("m",), 0, 100, "24 m", exact=True)]
Ends = Annotated[Quantity, Measure(("m",), 0, 100, "10 m", exact=True)]
Lane = Annotated[Quantity, Measure(("m",), 0, 30, "4 m", exact=True)]
Kept = Annotated[Quantity, Measure(("m",), 0, 200, "3 m", exact=True)]
FileBeside = Annotated[str, StringConstraints(min_length=1, max_length=200), AfterValidator(one_line)]
SetUp = Annotated[Quantity, Measure(("m",), 0, 500, "60 m", exact=True)]


class Layout(Part):
    """How the plots are laid out on the field."""

    outline: FileBeside | None = Key(
        None, description="Outline of the field, a file beside the plan; with it the report shows where every plot lies"
    )
    heading: Annotated[float, Key(ge=0, le=360)] | None = Key(
        None, description="Heading of the rows from A to B, degrees clockwise from true north; left out: the best"
    )
    changes: FileBeside | None = Key(None, description="Changes by hand, a table beside the plan, each with its reason")
    header: Width | None = Key(None, description="Working width of the harvester's header; left out: one planter pass")
    guard_rows: Annotated[int, Key(ge=0, le=20)] | None = Key(
        None, description="Rows at each side of a plot that are not measured; left out: 1"
    )
    tramline: Width | None = Key(None, description="Tramline to tramline: working width of the sprayer")
    spray_gauge: Gauge | None = Key(None, description="Middle to middle of the sprayer's wheels; left out: 1.8 m")
    turning: Turning | None = Key(
        None, description="Room to turn at each end of the plots; left out: the headland of [field], else 24 m"
    )
    ends: Ends | None = Key(None, description="Length at each end of a plot that is not measured; left out: 10 m")
    lane: Lane | None = Key(None, description="Lane for visitors along the front of the plots; left out: 4 m")
    side: Kept | None = Key(None, description="Distance kept from the long sides of the field; left out: 3 m")
    obstacle: Kept | None = Key(None, description="Distance kept from obstacles; left out: 3 m")
    water: Kept | None = Key(
        None, description='Distance kept from water; left out: the limit of "distance to water" in this plan'
    )
    set_up: SetUp | None = Key(
        None, description="Length of the strip beside the plots on which each outfit is set; left out: 60 m"
    )
