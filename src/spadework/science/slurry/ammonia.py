"""Ammonia lost after spreading, from a reference loss and what the way of spreading and covering saves.

The loss of slurry broadcast and left lying is the reference; a way of spreading or covering saves a share of it.
Where a fast tanker runs ahead of a slow implement the slurry lies uncovered for a time that grows over the field, and
covering then saves less; :mod:`spadework.science.slurry.delay` works out that time and its mean.

Models of the loss over time from weather and slurry would stand beside this module, each in a module of its own, and
give the early share that :func:`loss_covered` takes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from spadework.ranges import FloatArray, require
from spadework.working import equation

__all__ = ["loss_covered", "loss_uncovered", "nh3_n_loss"]


@equation(
    "reference_loss_share * (1 - method_abatement_share)",
    unit="1",
    source="unece_2014",
    locator="definition of abatement",
)
def loss_uncovered(reference_loss_share: ArrayLike, method_abatement_share: ArrayLike) -> FloatArray:
    """Work out the ammonia lost from slurry that is not covered afterwards, or that lies in a slot.

    Parameters
    ----------
    reference_loss_share : array_like
        NH3-N lost from slurry broadcast and left lying, share of the ammoniacal N spread [1], 0 to 1.
    method_abatement_share : array_like
        What the way of spreading saves of that loss [1], 0 to 1.

    Returns
    -------
    ndarray
        NH3-N lost, share of the ammoniacal N spread [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a share lies outside 0 to 1.

    Notes
    -----
    Reference losses stand in ``ammonia_reference`` (EMEP/EEA guidebook), reductions in
    ``ammonia_abatement_unece`` (UNECE 2014, Table 14).  Both are means over many fields; one field on one day may lie
    far off.

    Examples
    --------
    >>> round(float(loss_uncovered(0.40, 0.80)), 3)
    0.08
    """
    reference = require("reference_loss_share", reference_loss_share, 0, 1)
    return reference * (1 - require("method_abatement_share", method_abatement_share, 0, 1))


@equation(
    "reference_loss_share * minimum(1 - method_abatement_share, "
    "(1 - method_abatement_share) * early_share + (1 - abatement_now_share) * (1 - early_share))",
    unit="1",
    source="choice",
)
def loss_covered(
    reference_loss_share: ArrayLike,
    method_abatement_share: ArrayLike,
    abatement_now_share: ArrayLike,
    early_share: ArrayLike,
) -> FloatArray:
    """Work out the ammonia lost from slurry that is covered some time after it was spread.

    Parameters
    ----------
    reference_loss_share : array_like
        NH3-N lost from slurry broadcast and left lying, share of the ammoniacal N spread [1], 0 to 1.
    method_abatement_share : array_like
        What the way of spreading alone saves of that loss [1], 0 to 1.
    abatement_now_share : array_like
        What covering with this implement saves where it follows at once [1], 0 to 1.
    early_share : array_like
        Share of the uncovered loss that is gone before covering [1], 0 to 1; see
        :func:`spadework.science.slurry.delay.early_share`.

    Returns
    -------
    ndarray
        NH3-N lost, share of the ammoniacal N spread [1], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a share lies outside 0 to 1.

    Notes
    -----
    Our own construction.  What is lost before covering depends on how the slurry lay, so the way of
    spreading counts; what is lost after mixing does not, so only the implement counts.  Broadcast slurry covered after
    a delay loses exactly the reference times one less the reduction at that delay.

    Covering never raises the loss: where the way of spreading saves more than the implement does, the loss is that of
    the slurry left as it was spread.

    With the recalled factors for covering at once this errs on the high side: wind-tunnel trials (Thompson and
    Meisinger 2002) left 0 to 3 % of the ammoniacal N to the air behind the plough and 2 to 8 % behind discs, the
    factors 5.5 and 16.5 % for cattle slurry.

    Linear in `early_share` on either side of that rule, so the field mean of the early share gives the field mean of
    the loss.

    Examples
    --------
    >>> round(float(loss_covered(0.40, 0.0, 0.90, 0.5)), 3)
    0.22
    >>> round(float(loss_covered(0.40, 0.325, 0.90, 0.5)), 3)
    0.155
    """
    reference = require("reference_loss_share", reference_loss_share, 0, 1)
    lying = 1 - require("method_abatement_share", method_abatement_share, 0, 1)
    mixed = 1 - require("abatement_now_share", abatement_now_share, 0, 1)
    early = require("early_share", early_share, 0, 1)
    return reference * np.minimum(lying, lying * early + mixed * (1 - early))


@equation("tan_kg_ha * loss_share", unit="kg/ha", source="physics")
def nh3_n_loss(tan_kg_ha: ArrayLike, loss_share: ArrayLike) -> FloatArray:
    """Work out the nitrogen lost as ammonia per hectare.

    Parameters
    ----------
    tan_kg_ha : array_like
        Ammoniacal N spread [kg/ha], 0 or more.
    loss_share : array_like
        NH3-N lost, share of the ammoniacal N spread [1], 0 to 1.

    Returns
    -------
    ndarray
        NH3-N lost [kg/ha], broadcast shape of the arguments.

    Raises
    ------
    ImpossibleValue
        If a value lies outside its range.

    Notes
    -----
    Counted as nitrogen, not as ammonia.

    Examples
    --------
    >>> round(float(nh3_n_loss(102, 0.04)), 2)
    4.08
    """
    tan = require("tan_kg_ha", tan_kg_ha, 0, np.inf, "kg/ha")
    return tan * require("loss_share", loss_share, 0, 1)
