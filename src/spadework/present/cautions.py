"""Cautions that stand on every print that may send someone to a store, a machine or a field.

The wording is ours.  Figures carry who gave them; local codes and the law of the place come before anything said here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

__all__ = ["CAUTIONS", "DEFER", "Caution"]


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: a few words to know it by, and what to do."""

    title: str
    text: str


DEFER: Final = (
    "These reminders replace neither training, nor the machine's handbook, nor the safety code and the law of the place. "
    "Where they differ, the local code counts."
)

CAUTIONS: Final[tuple[Caution, ...]] = (
    Caution(
        "Gas when slurry is stirred",
        "Slurry gas kills within a few breaths and the nose stops warning. Before stirring: animals and people out, "
        "children away, doors and vents open, wind blowing. Start and stay out at least 30 minutes, and again whenever "
        "the pump is moved (advice of HSENI and FAS Scotland). A second grown person who knows the job stays outside. "
        "Never go into a tank or pit after somebody: call for help. Never stir while visitors are near.",
    ),
    Caution(
        "Turning shafts and moving parts",
        "Engine off and everything at a standstill before anybody gets near. No work with a power take-off guard missing "
        "or broken, lent machines included. Nobody rides along; nobody stands beside or behind a working machine, "
        "where discs throw stones.",
    ),
    Caution(
        "Hoses under pressure",
        "Take the pressure off and wait before clearing a blockage. Never feel for a leak with the hand: oil under "
        "pressure goes through skin and needs a surgeon at once. Stay out of the loop of a dragged hose.",
    ),
    Caution(
        "Overhead lines",
        "Know the full height of the outfit, folded and raised. Current jumps, and a jet of slurry conducts. Keep heaps "
        "and stops well away from lines. After contact: stay in the cab, keep others away, call the network operator.",
    ),
    Caution(
        "On the road",
        "Width, weight, lights, bridges: as the rules of the place say. Clean mud off the road.",
    ),
    Caution(
        "Water and weather",
        "Keep the distances to ditches, wells and springs that apply locally, and measure them. Nothing is spread on "
        "waterlogged, frozen or snow-covered ground or before heavy rain.",
    ),
    Caution(
        "Clean from farm to farm",
        "Brush boots first, then disinfect them. Clean the tanker between slurries of different farms. Wash hands before "
        "eating; cover cuts. Check whether animal-disease restrictions are in force before anybody sets out.",
    ),
    Caution(
        "Alone in the field",
        "Tell somebody where you are and when you will be back. Carry a phone and a first-aid kit, and write down how "
        "an ambulance finds the gate.",
    ),
)
