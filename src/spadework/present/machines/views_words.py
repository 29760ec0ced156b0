"""The three views of what a pass costs, pass by pass, with the words that page, print and terminal share."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from spadework.estimate import SHARE_PRINTED, Estimate, Spread
from spadework.estimate.money.curve import OwnedPass, hired_rows
from spadework.plan import Contractor
from spadework.present.wording import chance, day, decimals_for, figure_text, interval_text, spread_of
from spadework.ranges import FloatArray

__all__ = [
    "PassView",
    "area_text",
    "asked_line",
    "contractor_total",
    "fairness",
    "money_text",
    "pass_views",
    "shared_passes",
]

_TAIL = (1 - SHARE_PRINTED) / 2
_TAX = {"without": "without value-added tax", "with": "with value-added tax"}


@dataclass(frozen=True)
class PassView:
    """One pass in the three views; draws of length one where nothing varies.

    Attributes
    ----------
    owned : OwnedPass
        The pass with own machines.
    number : int
        Place of the pass in its system, from 1.
    system : int
        The system, in the order of the plan.
    hired_row : int or None
        Row of the axis ``hired``; None where no contractor was asked.
    """

    owned: OwnedPass
    number: int
    system: int
    hired_row: int | None

    @property
    def title(self) -> str:
        """The machine that gives the pass its name."""
        return self.owned.step.worker.name

    @property
    def outfit(self) -> str:
        """Number, name, and the tractor and machines that go with it."""
        step = self.owned.step
        others = (step.tractor.name, *(m.name for m in step.machines if m is not step.worker))
        return f"{self.number} {step.worker.name}: {' + '.join(others)}"

    @property
    def full(self) -> FloatArray:
        """Own cost in full at the hours in the plan."""
        return self._row("pass_full")

    @property
    def marginal(self) -> FloatArray:
        """Own cost of one more hectare."""
        return self._row("pass_marginal")

    @property
    def hired(self) -> FloatArray | None:
        """Price of the contractor, made comparable."""
        return None if self.hired_row is None else self.of_hired("hired_cost")

    @cached_property
    def pays_from(self) -> FloatArray | None:
        """Area a year from which on own machines cost no more than the contractor; infinite where none does."""
        return None if self.hired is None else self.owned.break_even(self.hired)

    @property
    def contractor(self) -> Contractor | None:
        """The contractor who was asked."""
        name = self.owned.step.done.contractor
        return None if name is None else self.owned.estimate.plan.contractor(name)

    @property
    def verdict(self) -> str:
        """What the three views say of this pass, in words."""
        if self.hired is None or self.pays_from is None:
            return "no rate in the plan"
        now = chance(self.full - self.hired, "own costs less", "hire costs less")
        least = _quantile(self.pays_from, 0.5)
        if np.isinf(least):
            return f"at your use {now}; no area pays"
        if np.median(self.full - self.hired) > 0:
            return f"at your use {now}; own costs less from {figure_text(least, 0)} ha on"
        return f"at your use {now}"

    def of_hired(self, figure: str) -> FloatArray:
        """Return this pass's row of a figure over the axis ``hired``."""
        values: FloatArray = self.owned.estimate.sheet[figure][self.hired_row or 0]
        return values

    def alike(self, other: PassView) -> bool:
        """Tell whether another pass is the same work at the same cost, in another system."""
        same = np.array_equal(self.full, other.full) and self.contractor == other.contractor
        hired = self.hired is None or other.hired is None or np.array_equal(self.hired, other.hired)
        return same and hired and self.outfit.partition(" ")[2] == other.outfit.partition(" ")[2]

    def _row(self, figure: str) -> FloatArray:
        values: FloatArray = self.owned.estimate.sheet[figure][self.owned.row]
        return values


def pass_views(estimate: Estimate) -> list[list[PassView]]:
    """Return every pass of every system."""
    hired = hired_rows(estimate)
    found: list[list[PassView]] = [[] for _ in estimate.systems]
    for row, system in enumerate(estimate.sheet.axes["pass"].systems):
        found[system].append(PassView(OwnedPass(estimate, row), len(found[system]) + 1, system, hired.get(row)))
    return found


def contractor_total(views: list[PassView]) -> FloatArray | str:
    """Return what all passes of a system cost with contractors, or in words how many of them have a rate."""
    prices = [view.hired for view in views if view.hired is not None]
    if len(prices) < len(views):
        have = "has" if len(prices) == 1 else "have"
        return f"{len(prices)} of {len(views)} passes {have} a rate"
    total: FloatArray = np.sum(np.broadcast_arrays(*prices), axis=0)
    return total


def shared_passes(views: list[list[PassView]]) -> list[PassView]:
    """Return the passes that every system makes in the same way, with the same outfit."""
    first, *others = views
    return [view for view in first if all(any(view.alike(other) for other in system) for system in others)]


def money_text(values: FloatArray) -> str:
    """Return an amount per hectare with its interval; whole units, or cents where it is small.

    Examples
    --------
    >>> money_text(np.array([104.0])), money_text(np.array([4.1, 4.2, 4.3]))
    ('104', '4.2 (4.1 to 4.3)')
    """
    spread = spread_of(values)
    varies = spread.high > spread.low
    places = min(1, decimals_for([spread])) if varies or spread.mid % 1 else 0
    return interval_text(spread, places)


def area_text(values: FloatArray) -> str:
    """Return hectares a year with their interval; said in words where no area pays.

    Examples
    --------
    >>> area_text(np.array([np.inf])), area_text(np.array([170.0, 180.0, np.inf]))
    ('none pays', '180 (170 to none)')
    """
    low, mid, high = (_quantile(values, at) for at in (_TAIL, 0.5, 1 - _TAIL))
    if np.isinf(mid):
        return "none pays"
    if np.isinf(high):
        return f"{figure_text(mid, 0)} ({figure_text(low, 0)} to none)"
    return interval_text(Spread(mid, low, high), 0)


def asked_line(contractor: Contractor) -> str:
    """Return what a contractor asked, with date, tax, diesel and source."""
    fuel = "diesel in it" if contractor.fuel == "in" else "diesel not in it"
    tax = _TAX[contractor.tax]
    return f"{contractor.rate.text}, {tax}, {fuel}; {day(contractor.date)}: {contractor.source}"


def fairness(estimate: Estimate, views: list[list[PassView]]) -> list[tuple[str, str]]:
    """Return what must be said beside the three views, each with the words that lead it in."""
    said = [
        (
            "Rates and full cost.",
            "Contractors' rates often do not cover all that owning and running a machine costs: a low rate may not last.",
        ),
        (
            "Fewer passes.",
            "What a pass less saves beyond the cost of one more hectare is saved only if the machine is really sold or "
            "not bought, or does paid work elsewhere in the hours set free.",
        ),
        (
            "Bringing the slurry",
            "stands in none of the three views. Rates by the cubic metre may hold it up to some distance: ask, before "
            "own feeders are added to a contractor.",
        ),
        ("The same for all.", _same_for_all(estimate, views)),
    ]
    over = sorted({view.title for system in views for view in system if _overused(view)})
    if over:
        said.append(
            (
                "Long hours.",
                f"{'; '.join(over)}: a machine of the pass works more hours in the years said than the repair table gives "
                "it. Repairs and resale are drawn on beyond; the years may be too many.",
            )
        )
    return said


def _same_for_all(estimate: Estimate, views: list[list[PassView]]) -> str:
    shared = shared_passes(views)
    names = [f"the pass with {view.title}, {money_text(view.full)} {_per_ha(estimate)} in full" for view in shared]
    slurry = estimate.sheet["slurry_cost"]
    if all(np.array_equal(row, slurry[0]) for row in slurry) and slurry.any():
        names.append(f"the slurry itself, stirred, {money_text(slurry[0])} {_per_ha(estimate)}")
    falls = "It falls" if len(names) == 1 else "They fall"
    begin = f"Every system has {'; '.join(names)}. {falls} out of any difference. " if names else ""
    dose = "" if estimate.plan.slurry.terms == "equal available N" else ", dose"
    starter = "" if estimate.plan.crop.starter is not None else "starter fertiliser, "
    return (
        f"{begin}Prices, wage, interest{dose} and expected yield are one for all, so the order by the tonne is that by the "
        "hectare until yields are measured. Seed, plant protection, "
        f"{starter}lime, harvest and the mending of wheel tracks are in no figure: add them where systems differ in them."
    )


def _per_ha(estimate: Estimate) -> str:
    return f"{estimate.plan.prices.currency}/ha"


def _overused(view: PassView) -> bool:
    return bool(np.median(view.owned.use) > np.median(view.owned.worn_out))


def _quantile(values: FloatArray, share: float) -> float:
    """Quantile that is itself one of the values, so that infinite ones do no harm."""
    return float(np.quantile(values, share, method="inverted_cdf"))
