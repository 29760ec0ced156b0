"""Plots of a harvest: yield of dry matter with its standard error where it was weighed, and by log where it was not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from spadework.plan import Fault, PlanFaults
from spadework.ranges import FloatArray
from spadework.records.files.harvest import WeighedStrips
from spadework.records.files.harvest_log import HarvestLog
from spadework.reference import constants
from spadework.science.harvest import (
    Cleaned,
    DelayCurve,
    clean_log,
    delay_curve,
    dry_matter_yield,
    numbered_passes,
    relative_yield_se,
    sampled_dry_matter,
    strip_yield,
    weighing_se,
    yield_at_dry_matter,
    yield_at_moisture,
)

__all__ = ["LoggedPlots", "PlotYields", "Standard", "logged_plots", "weighed_plots"]

_MASS, _LOG = constants("harvest_mass"), constants("yield_log")
_FEW = 30


@dataclass(frozen=True)
class Standard:
    """What a yield is stated at: a moisture of grain, or a dry matter of forage [1]."""

    share: float
    grain: bool

    @property
    def said(self) -> str:
        """The standard in words, such as ``15.5 % moisture``."""
        return f"{100 * self.share:g} % {'moisture' if self.grain else 'dry matter'}"


@dataclass(frozen=True)
class PlotYields:
    """Yield of every plot.

    Attributes
    ----------
    plots, systems, blocks : tuple of str
        Name, system and block; empty where not said.
    area_m2 : FloatArray
        Net area [m2].
    fresh_t_ha, dry_matter_share, dm_t_ha : FloatArray
        Yield as harvested [t/ha], dry matter in it [1], yield of dry matter [t/ha].
    se_t_ha : FloatArray
        Standard error of weighing, sampling and measuring [t/ha]; not a number for a log.
    error_shares : Mapping
        Standard errors by cause, each as a share of the yield [1].
    samples : NDArray
        Samples of dry matter in each plot; 0 for a log.
    notes : tuple of str
        What a reader must be told.
    standard : Standard or None
        What the trade states the yield at, where that was asked for.
    """

    plots: tuple[str, ...]
    systems: tuple[str, ...]
    blocks: tuple[str, ...]
    area_m2: FloatArray
    fresh_t_ha: FloatArray
    dry_matter_share: FloatArray
    dm_t_ha: FloatArray
    se_t_ha: FloatArray
    samples: NDArray[np.int64]
    error_shares: Mapping[str, FloatArray] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    standard: Standard | None = None

    @property
    def standard_t_ha(self) -> FloatArray:
        """Yield as it is stated by the trade [t/ha]; not a number where no standard was asked for, or no moisture is known."""
        if self.standard is None:
            return np.full(self.fresh_t_ha.shape, np.nan)
        known = np.isfinite(self.fresh_t_ha) & np.isfinite(self.dry_matter_share)
        stated = np.full(self.fresh_t_ha.shape, np.nan)
        fresh, dry = self.fresh_t_ha[known], self.dry_matter_share[known]
        if self.standard.grain:
            stated[known] = yield_at_moisture(fresh, 1 - dry, self.standard.share)
        else:
            stated[known] = yield_at_dry_matter(fresh, dry, self.standard.share)
        return stated

    def columns(self) -> dict[str, NDArray[np.str_] | FloatArray]:
        """Return the table as columns, ready for :func:`spadework.statistics.models.model.fit_model`."""
        return {
            "plot": np.array(self.plots),
            "system": np.array(self.systems),
            "block": np.array(self.blocks),
            "dm_t_ha": self.dm_t_ha,
            "se_t_ha": self.se_t_ha,
        }


@dataclass(frozen=True)
class LoggedPlots:
    """Plots of a yield log, with how the log was cleaned.

    Attributes
    ----------
    yields : PlotYields
        The plots.
    cleaned : Cleaned
        Every removed point with its reason.
    curve : DelayCurve
        Agreement of opposite passes against the delay.
    delay_s : float
        Delay that was taken out [s].
    delay_from : str
        Where it came from, in words.
    """

    yields: PlotYields
    cleaned: Cleaned
    curve: DelayCurve
    delay_s: float
    delay_from: str


def weighed_plots(
    strips: WeighedStrips,
    *,
    division_kg: float | None = None,
    length_se_m: float | None = None,
    width_se_share: float | None = None,
    standard_share: float | None = None,
) -> PlotYields:
    """Return the yield of every weighed plot with its standard error.

    Parameters
    ----------
    strips : WeighedStrips
        From :func:`spadework.records.files.harvest.read_weighed`.
    division_kg : float, optional
        Smallest step that the scale shows [kg]; left out: that of the table ``harvest_mass``.
    length_se_m, width_se_share : float, optional
        Standard error of a length [m], and of a width as a share of it [1]; left out: those of the table.
    standard_share : float, optional
        Moisture of grain, or dry matter of forage, that yields are stated at as well [1].

    Returns
    -------
    PlotYields
        Plots in the order of the file.
    """
    step = _MASS.scale_division_kg if division_kg is None else division_kg
    length_se = _MASS.length_se_m if length_se_m is None else length_se_m
    width_se = _MASS.width_se_share if width_se_share is None else width_se_share
    count = len(strips.plots)
    mass, weighings = np.zeros(count), np.zeros(count)
    share, share_se, samples = np.zeros(count), np.zeros(count), np.zeros(count, np.int64)
    notes = []
    for plot in range(count):
        loads = np.flatnonzero(strips.load_plot == plot)
        mine = np.isin(strips.sample_load, loads)
        found = sampled_dry_matter(
            strips.sample_share[mine], np.searchsorted(loads, strips.sample_load[mine]), strips.load_kg[loads]
        )
        mass[plot], weighings[plot] = strips.load_kg[loads].sum(), strips.weighings[loads].sum()
        share[plot], share_se[plot], samples[plot] = found.dry_matter_share, found.standard_error, found.samples
        if found.loads_without:
            notes.append(
                f"plot {strips.plots[plot]}: {found.loads_without} of {loads.size} loads have no sample of their own"
            )
    alone = ~np.isfinite(share_se)
    if alone.any():
        share_se[alone] = _MASS.dm_sampling_share
        names = ", ".join(np.array(strips.plots)[alone])
        notes.append(
            f"one sample only, so that it cannot show its own error: {100 * _MASS.dm_sampling_share:g} point of dry matter is "
            f"taken, our choice ({names})"
        )
    area = strips.length_m * strips.width_m
    parts = {
        "weighing": np.asarray(weighing_se(step, weighings)) / mass,
        "sampling of dry matter": share_se / share,
        "length": length_se / strips.length_m,
        "width": np.full(count, width_se),
    }
    fresh = strip_yield(mass, area)
    dm = dry_matter_yield(fresh, share)
    se = dm * relative_yield_se(*parts.values())
    if not strips.grain:
        low, high = _MASS.harvest_dm_from, _MASS.harvest_dm_to
        odd = [n for n, s in zip(strips.plots, share, strict=True) if not low <= s <= high]
        if odd:
            wanted = f"{100 * low:g} to {100 * high:g} %, at which forage maize is best cut"
            notes.append(f"dry matter outside {wanted}: {', '.join(odd)}")
    return PlotYields(
        strips.plots,
        strips.systems,
        strips.blocks,
        area,
        fresh,
        share,
        dm,
        se,
        samples,
        parts,
        tuple(notes),
        None if standard_share is None else Standard(standard_share, strips.grain),
    )


def logged_plots(
    log: HarvestLog,
    *,
    crop: str = "forage",
    delay_s: float | None = None,
    moisture_share: float | None = None,
    standard_share: float | None = None,
) -> LoggedPlots:
    """Return the yield of every plot of a log, cleaned, its delay taken out.

    Parameters
    ----------
    log : HarvestLog
        From :func:`spadework.records.files.harvest_log.read_log`.
    crop : str
        ``"forage"`` or ``"grain"``.
    delay_s : float, optional
        Time from header to sensor [s]; left out: the one at which opposite passes agree best.
    moisture_share : float, optional
        Moisture of all plots [1], where the log has none.
    standard_share : float, optional
        Moisture of grain, or dry matter of forage, that yields are stated at as well [1].

    Returns
    -------
    LoggedPlots
        Plots sorted by name, and what was removed.

    Raises
    ------
    PlanFaults
        If no plot holds a point, no delay is given or to be found, or no moisture is known.
    """
    strip = np.array(log.plot)
    if not np.any(log.header_down > 0):
        what = "no record with the header down lies in a plot; check places and names of the plots"
        raise PlanFaults([Fault("", what)], log.file)
    moisture = log.moisture_share if moisture_share is None else np.full(log.time_s.size, moisture_share)
    faults = []
    if not np.isfinite(moisture).any():
        faults.append(Fault("", "moisture is not known; give a column of the log for it, or --moisture"))
    number = numbered_passes(log.time_s, log.header_down, strip, _LOG.gap_s)
    width = float(np.median(log.width_m[number >= 0]))
    curve = delay_curve(log.time_s, log.east_m, log.north_m, log.flow_kg_s, log.speed_m_s, number, width)
    found_by = "as given"
    if delay_s is None:
        if not np.isfinite(curve.best_s):
            why = (
                "opposite passes agree at no delay"
                if curve.pairs > _FEW
                else "too few opposite passes lie side by side"
            )
            if curve.at_end:
                why = "the passes agree best at an end of what was tried"
            what = f"the delay cannot be found from this log ({why}); give it, such as --delay 12, from the machine's handbook"
            faults.append(Fault("--delay", what))
        delay_s, found_by = curve.best_s, f"at which opposite passes agree best, over {curve.pairs} pairs of places"
    if faults:
        raise PlanFaults(faults, log.file)
    cleaned = clean_log(
        log.time_s,
        log.east_m,
        log.north_m,
        log.flow_kg_s,
        log.speed_m_s,
        log.width_m,
        moisture,
        log.header_down,
        strip,
        delay_s=delay_s,
        crop=crop,
    )
    count = len(cleaned.strips)
    share, area = np.full(count, np.nan), np.zeros(count)
    for i, name in enumerate(cleaned.strips):
        mine = cleaned.kept & (strip == name)
        area[i] = cleaned.area_m2[mine].sum()
        wet = mine & np.isfinite(moisture)
        weight = cleaned.mass_kg[wet]
        if weight.sum() > 0:
            share[i] = 1 - np.average(moisture[wet], weights=weight)
    fresh = cleaned.strip_after
    of_name = {plot.name: plot for plot in log.plots}
    notes = [*cleaned.warnings]
    if np.isnan(share).any():
        notes.append("no moisture is known for: " + ", ".join(np.array(cleaned.strips)[np.isnan(share)]))
    notes.append(
        "A log carries no standard error of its own: what a sensor is off by, it is off by over whole strips. Where a difference "
        "under 10 % matters, weigh the strips"
    )
    yields = PlotYields(
        cleaned.strips,
        tuple(of_name[n].system if n in of_name else "" for n in cleaned.strips),
        tuple(of_name[n].block if n in of_name else "" for n in cleaned.strips),
        area,
        fresh,
        share,
        fresh * share,
        np.full(count, np.nan),
        np.zeros(count, np.int64),
        {},
        tuple(notes),
        None if standard_share is None else Standard(standard_share, crop == "grain"),
    )
    return LoggedPlots(yields, cleaned, curve, float(delay_s), found_by)
