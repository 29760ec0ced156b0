"""Slurry on its way to the outfits that place it: rounds, the slowest link, who waits, what the road burns and costs."""

from __future__ import annotations

from spadework.estimate.desk import Desk, FromPlan
from spadework.plan import Machine, Supply
from spadework.quantities import Quantity
from spadework.reference import constants
from spadework.science.machinery import (
    busy_share,
    container_link,
    fed_link,
    feeder_at_field,
    feeder_round,
    feeders_needed,
    filling_round,
    handing_per_load,
    hose_rate,
    hose_speed,
    hose_time,
    load_size,
    loads_for,
    meeting_share,
    refill_per_area,
    refill_time,
    road_per_load,
    run_length,
    runs_per_load,
    slowest,
    spreader_away,
    spreader_round,
    spreading_per_load,
    supply_time,
    throughput,
    time_away,
    trip_time,
    used_up,
    waiting_time,
    waits_share,
)

__all__ = ["work_supply"]

_USUAL = {"filling": ("field_work", "filling_m3_min"), "transfer": ("slurry_supply", "transfer_m3_min")}


def work_supply(desk: Desk) -> None:
    """Put the time that slurry takes to arrive on the sheet, for every pass that places it, by the way it comes."""
    sheet = desk.sheet
    desk.pick("placing_spread_time", "spread_time", "placing", "time of spreading, supply left out")
    for key in ("connect_min", "field_other_min", "road_speed_full_km_h", "road_speed_empty_km_h"):
        desk.constant(key, "field_work", key)
    distance = FromPlan(desk.chain.plan.field.store_distance, ("field", "store_distance"))
    desk.plan_value("store_distance", "road to the store", "km", distance)
    sheet.work(
        "road", road_per_load, "on the road, per trip", distance_km="store_distance",
        speed_full_km_h="road_speed_full_km_h", speed_empty_km_h="road_speed_empty_km_h",
    )  # fmt: skip
    if "load_size" in sheet.figures:
        _loads(desk)
    if desk.part_of("brought", "tanked", _among_tanked(desk, "brought")):
        _brought(desk)
    if desk.part_of("driven", "tanked", _among_tanked(desk, "drives itself")):
        _driven(desk)
    for way, axis in (("feeders", "fed"), ("field container", "contained")):
        if desk.part_of(axis, "tanked", _among_tanked(desk, way)):
            _fed(desk, axis)
    if "hosed" in sheet.axes:
        _hosed(desk)
    _together(desk)


def _among_tanked(desk: Desk, way: str) -> list[int]:
    rows = desk.chain.supplied("brought", "drives itself", "feeders", "field container")
    return [i for i, row in enumerate(rows) if desk.chain.way(desk.chain.placing[row]) == way]


def _loads(desk: Desk) -> None:
    sheet = desk.sheet
    desk.pick("tanked_spread_time", "placing_spread_time", "tanked")
    desk.pick("tanked_width", "placing_width", "tanked")
    sheet.work(
        "spreading", spreading_per_load, "spreading one load",
        load_m3="load_size", dose_m3_ha=desk.dose_on("tanked"), spread_h_ha="tanked_spread_time",
    )  # fmt: skip
    sheet.work(
        "load_run",
        run_length,
        "run that one load lasts",
        tank_m3="load_size",
        dose_m3_ha=desk.dose_on("tanked"),
        width_m="tanked_width",
    )
    rows = [
        [desk.chain.placing[row]]
        for row in desk.chain.supplied("brought", "drives itself", "feeders", "field container")
    ]
    sheet.gather("tanked_run", "pick", "run", "run between the headlands", over="tanked", rows=rows)
    sheet.work("runs_per_load", runs_per_load, "runs that one load lasts", length_m="load_run", run_m="tanked_run")
    sheet.work(
        "field_loads", loads_for, "loads for the field",
        area_ha="area", dose_m3_ha=desk.dose_on("tanked"), load_m3="load_size",
    )  # fmt: skip


def _brought(desk: Desk) -> None:
    sheet = desk.sheet
    sources = [
        FromPlan(t.refill or 0.0, (*desk.chain.machine_path(t.name), "refill")) for t in _tankers(desk, "brought")
    ]
    desk.plan_rows("met", "refill where the outfit is met, per load", "min", "brought", sources)
    desk.pick("brought_load", "load_size", "brought")
    sheet.work(
        "brought_away", refill_time, "time away from spreading",
        dose_m3_ha=desk.dose_on("brought"), tank_m3="brought_load", refill_min="met",
    )  # fmt: skip


def _driven(desk: Desk) -> None:
    sheet = desk.sheet
    tankers = _tankers(desk, "drives itself")
    desk.plan_rows("trip_filling", "flow when filling", "m3/min", "driven", [_filling(desk, t) for t in tankers])
    desk.pick("trip_load", "load_size", "driven")
    sheet.work(
        "trip_fill", filling_round, "filling at the store",
        load_m3="trip_load", filling_m3_min="trip_filling", connect_min="connect_min",
    )  # fmt: skip
    sheet.work(
        "trip", trip_time, "trip to the store and back, with filling and finding the place",
        filling_min="trip_fill", road_min="road", other_min="field_other_min",
    )  # fmt: skip
    load = {"dose_m3_ha": desk.dose_on("driven"), "tank_m3": "trip_load"}
    sheet.work("driven_away", refill_time, "time away from spreading", refill_min="trip", **load)
    sheet.work("driven_road", refill_time, "time on the road", refill_min="road", **load)


def _fed(desk: Desk, axis: str) -> None:
    """Feeders between store and field: into the spreading tank, or into a container beside the field."""
    sheet, chain = desk.sheet, desk.chain
    supplies = desk.chain.supplies(axis)
    feeders = [chain.plan.machine(s.machine or "") for s in supplies]
    name = "{}_" + axis
    load, part = name.format("load"), name.format("feeder_load")
    desk.pick(load, "load_size", axis)
    desk.pick(name.format("spreading"), "spreading", axis)
    tanks = [FromPlan(f.tank or 0.0, (*chain.machine_path(f.name), "tank"), 0.1) for f in feeders]
    desk.plan_rows(name.format("feeder_tank"), "tank of a feeder", "m3", axis, tanks)
    sheet.work(
        part, load_size, "slurry in a feeder's load", tank_m3=name.format("feeder_tank"), filled_share="tank_filled"
    )
    counts = [FromPlan(float(s.vehicles or 1), (*chain.supply_path(s.name), "vehicles")) for s in supplies]
    desk.plan_rows(name.format("feeders"), "feeders on the road", "1", axis, counts)
    flows = [_flow(desk, s, f) for s, f in zip(supplies, feeders, strict=True)]
    desk.plan_rows(name.format("filling"), "flow when a feeder fills at the store", "m3/min", axis, flows)
    handed = [_transfer(desk, s) for s in supplies]
    desk.plan_rows(
        name.format("transfer"), "flow from feeder or container into the spreading tank", "m3/min", axis, handed
    )
    sheet.work(
        name.format("fill"), filling_round, "filling a feeder at the store",
        load_m3=part, filling_m3_min=name.format("filling"), connect_min="connect_min",
    )  # fmt: skip
    (_handing if axis == "fed" else _container)(desk, name)
    sheet.work(
        name.format("spreader_round"), spreader_round, "round of the spreading outfit, never waiting",
        spreading_min=name.format("spreading"), refill_min=name.format("handing"), other_min="field_other_min",
    )  # fmt: skip
    if axis == "fed":
        sheet.work(
            name.format("at_field"), feeder_at_field, "a feeder at the field",
            feeder_load_m3=part, load_m3=load, handing_min=name.format("handing"),
            spreading_min=name.format("spreading"), other_min="field_other_min", meeting_share=name.format("meeting"),
        )  # fmt: skip
    sheet.work(
        name.format("feeder_round"), feeder_round, "round of a feeder, never waiting",
        filling_min=name.format("fill"), road_min="road", field_min=name.format("at_field"),
    )  # fmt: skip
    _links(desk, axis, name)


def _handing(desk: Desk, name: str) -> None:
    load, part = name.format("load"), name.format("feeder_load")
    sheet = desk.sheet
    sheet.work(
        name.format("meeting"), meeting_share, "share of the feeders that are empty when the spreader is full",
        feeder_load_m3=part, load_m3=load,
    )  # fmt: skip
    sheet.work(
        name.format("handing"), handing_per_load, "handing over one load, with coupling",
        load_m3=load, feeder_load_m3=part, transfer_m3_min=name.format("transfer"), connect_min="connect_min",
        meeting_share=name.format("meeting"),
    )  # fmt: skip


def _container(desk: Desk, name: str) -> None:
    sheet = desk.sheet
    desk.constant("container_in", "slurry_supply", "container_in_m3_min")
    sheet.work(
        name.format("at_field"), filling_round, "emptying a feeder into the container",
        load_m3=name.format("feeder_load"), filling_m3_min="container_in", connect_min="connect_min",
    )  # fmt: skip
    sheet.work(
        name.format("handing"), filling_round, "filling from the container",
        load_m3=name.format("load"), filling_m3_min=name.format("transfer"), connect_min="connect_min",
    )  # fmt: skip


def _links(desk: Desk, axis: str, name: str) -> None:
    sheet, chain = desk.sheet, desk.chain
    load, part, feeders = name.format("load"), name.format("feeder_load"), name.format("feeders")
    if "one" not in sheet.figures:
        sheet.given("one", 1.0, "1", "one at a time", places=["one filling point, one spreading outfit"])
    for link, words, volume, time, count in (
        ("spreader_flow", "what the spreading outfit takes, never waiting", load, "spreader_round", "one"),
        ("feeder_flow", "what the feeders bring, never waiting", part, "feeder_round", feeders),
        ("store_flow", "what the filling point of the store gives", part, "fill", "one"),
    ):
        sheet.work(name.format(link), throughput, words, load_m3=volume, round_min=name.format(time), vehicles=count)
    sheet.work(
        name.format("spreader_away"), spreader_away, "from leaving the filling place to being back",
        spreading_min=name.format("spreading"), other_min="field_other_min",
    )  # fmt: skip
    meeting = {
        "load_m3": load, "feeder_load_m3": part, "feeders": feeders, "away_min": name.format("spreader_away"),
        "filling_min": name.format("fill"), "road_min": "road",
    }  # fmt: skip
    if axis == "fed":
        sheet.work(
            name.format("field_flow"), fed_link, "what passes where feeders and spreading outfit meet",
            transfer_m3_min=name.format("transfer"), connect_min="connect_min", **meeting,
        )  # fmt: skip
    else:
        supplies = chain.supplies(axis)
        sizes = [FromPlan(s.container or 0.0, (*chain.supply_path(s.name), "container"), 1.0) for s in supplies]
        desk.plan_rows(name.format("container"), "what the container holds", "m3", axis, sizes)
        sheet.work(
            name.format("field_flow"), container_link, "what passes the container",
            container_m3=name.format("container"), out_min=name.format("handing"), in_min=name.format("at_field"),
            **meeting,
        )  # fmt: skip
    sheet.work(
        name.format("flow"), slowest, "slurry an hour, by the slowest link",
        spreader_m3_h=name.format("spreader_flow"), feeders_m3_h=name.format("feeder_flow"),
        store_m3_h=name.format("store_flow"), field_m3_h=name.format("field_flow"),
    )  # fmt: skip
    sheet.work(
        name.format("used_up"), used_up, "time in which the spreading outfit uses up a feeder's load",
        feeder_load_m3=part, spreader_m3_h=name.format("spreader_flow"),
    )  # fmt: skip
    sheet.work(
        name.format("feeders_needed"), feeders_needed, "feeders that keep the spreading outfit going",
        feeder_min=name.format("feeder_round"), spreader_min=name.format("used_up"),
    )  # fmt: skip
    _times(desk, axis, name)


def _times(desk: Desk, axis: str, name: str) -> None:
    sheet = desk.sheet
    sheet.work(
        name.format("time"),
        supply_time,
        "time for a hectare with its slurry",
        dose_m3_ha=desk.dose_on(axis),
        throughput_m3_h=name.format("flow"),
    )
    desk.pick(name.format("spread_time"), "tanked_spread_time", axis)
    sheet.work(
        f"{axis}_away", refill_per_area, "time refilling, without waiting",
        dose_m3_ha=desk.dose_on(axis), load_m3=name.format("load"), handing_min=name.format("handing"),
        other_min="field_other_min",
    )  # fmt: skip
    sheet.work(
        f"{axis}_waiting", waiting_time, "time waiting for slurry",
        supply_h_ha=name.format("time"), spread_h_ha=name.format("spread_time"), refill_h_ha=f"{axis}_away",
    )  # fmt: skip
    for link, words in (
        ("spreader", "share of its time that the spreading outfit waits"),
        ("feeder", "share of their time that the feeders wait"),
    ):
        sheet.work(
            f"{axis}_{link}_waits", waits_share, words,
            throughput_m3_h=name.format("flow"), link_m3_h=name.format(f"{link}_flow"),
        )  # fmt: skip
    sheet.work(
        f"{axis}_store_busy", busy_share, "share of the time that the filling point is taken",
        throughput_m3_h=name.format("flow"), link_m3_h=name.format("store_flow"),
    )  # fmt: skip


def _hosed(desk: Desk) -> None:
    sheet, chain = desk.sheet, desk.chain
    supplies = desk.chain.supplies("hosed")
    flows = [FromPlan(s.flow or 0.0, (*chain.supply_path(s.name), "flow"), 1.0) for s in supplies]
    desk.plan_rows("hose_flow", "flow through the hose", "m3/h", "hosed", flows)
    setups = [FromPlan(s.set_up or 0.0, (*chain.supply_path(s.name), "set_up")) for s in supplies]
    desk.plan_rows("hose_setup", "laying and lifting the hose", "h", "hosed", setups)
    desk.pick("hosed_spread_time", "placing_spread_time", "hosed")
    desk.pick("hosed_width", "placing_width", "hosed")
    sheet.work(
        "hose_speed",
        hose_speed,
        "speed at which the flow gives the dose",
        flow_m3_h="hose_flow",
        width_m="hosed_width",
        dose_m3_ha=desk.dose_on("hosed"),
    )
    sheet.work(
        "hose_work_rate",
        hose_rate,
        "work rate with the hose laid",
        flow_m3_h="hose_flow",
        dose_m3_ha=desk.dose_on("hosed"),
        spread_h_ha="hosed_spread_time",
    )
    sheet.work(
        "hose_time",
        hose_time,
        "time for a hectare with its slurry",
        work_rate_ha_h="hose_work_rate",
        setup_h="hose_setup",
        area_ha="area",
    )
    sheet.work(
        "hosed_away",
        time_away,
        "laying the hose, and slower than the tools could go",
        whole_h_ha="hose_time",
        spread_h_ha="hosed_spread_time",
    )


def _together(desk: Desk) -> None:
    """Put the times of all ways on the axis of the passes."""
    for name, label, figures in (
        ("tanked_away", "time away for slurry", ["brought_away", "driven_away", "fed_away", "contained_away"]),
        ("tanked_waiting", "time waiting for slurry", ["fed_waiting", "contained_waiting"]),
        ("tanked_road", "of that, on the road", ["driven_road"]),
    ):
        if any(figure in desk.sheet.figures for figure in figures):
            desk.merge(name, label, "tanked", figures, "h/ha")
    for name, label, figures in (
        ("placing_away", "time away for slurry", ["tanked_away", "hosed_away"]),
        ("placing_waiting", "time waiting for slurry", ["tanked_waiting"]),
        ("placing_road", "of that, on the road", ["tanked_road"]),
    ):
        desk.merge(name, label, "placing", figures, "h/ha")
    for name, figure, label in (
        ("slurry_refill_time", "placing_away", "time away for slurry"),
        ("waiting_time", "placing_waiting", "time waiting for slurry"),
        ("road_time", "placing_road", "of that, on the road"),
    ):
        desk.merge(name, label, "pass", [figure], "h/ha")


def _tankers(desk: Desk, way: str) -> list[Machine]:
    chain = desk.chain
    steps = [chain.steps[index] for index in chain.placing if chain.way(index) == way]
    return [tanker for step in steps if (tanker := step.tanker) is not None]


def _filling(desk: Desk, tanker: Machine) -> FromPlan:
    quantity: Quantity | float = constants("field_work")["filling_m3_min"].value
    if tanker.filling is not None:
        quantity = tanker.filling
    return FromPlan(quantity, (*desk.chain.machine_path(tanker.name), "filling"), 0.1)


def _flow(desk: Desk, supply: Supply, feeder: Machine) -> FromPlan:
    if supply.filling is not None:
        return FromPlan(supply.filling, (*desk.chain.supply_path(supply.name), "filling"), 0.1)
    return _filling(desk, feeder)


def _transfer(desk: Desk, supply: Supply) -> FromPlan:
    table, key = _USUAL["transfer"]
    quantity: Quantity | float = constants(table)[key].value if supply.transfer is None else supply.transfer
    return FromPlan(quantity, (*desk.chain.supply_path(supply.name), "transfer"), 0.1)
