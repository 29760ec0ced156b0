"""Faces from an estimate: to scale from the plan, and honest about what the plan does not know."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

from spadework.estimate import Estimate, estimate
from spadework.plan import read_text
from spadework.present.face.drawing import Face, soil_face
from spadework.present.face.systems import CAPTIONS, faces, reach_cm

FOLDER = Path(str(files("spadework.demo")))
TEXT = (FOLDER / "plan.toml").read_text("utf-8")


def estimated(text: str, draws: int = 100) -> Estimate:
    return estimate(read_text(text, "plan.toml", FOLDER), draws=draws, seed=1)


@cache
def demo() -> tuple[Estimate, tuple[Face, ...]]:
    found = estimated(TEXT)
    return found, faces(found)


def test_strip_is_drawn_to_scale() -> None:
    found, drawn = demo()
    s = found.systems.index("strip")
    face = drawn[s]
    assert face.row_spacing_cm == 75
    assert face.strip_width_cm == 25
    assert face.seed_depth_cm == 5
    assert face.gap is not None
    assert face.band is not None
    assert (face.gap.mid, face.gap.low) == (found.spread("gap", s).mid, found.spread("gap", s).low)
    assert face.band.top_cm.mid == found.spread("band_top", s).mid
    assert face.firmed_rise_cm == found.spread("rise", s).mid
    assert face.loosened[0].depth_cm.mid == found.spread("tine_firmed", s).mid
    assert face.residue_strip_share < face.residue_between_share


def test_plough_turns_and_cultivator_mixes() -> None:
    found, drawn = demo()
    plough, cultivator = (drawn[found.systems.index(name)] for name in ("plough", "cultivator"))
    assert [(part.depth_cm.mid, part.turned) for part in plough.loosened] == [(23, True), (8, False)]
    assert plough.band is not None
    assert cultivator.band is not None
    assert (plough.band.shape, cultivator.band.shape) == ("buried", "mixed")
    assert "not modelled" in plough.note
    assert cultivator.band.bottom_cm == 18
    assert plough.gap is None


def test_every_face_has_its_figures_and_no_invented_tracks() -> None:
    found, drawn = demo()
    for name, face in zip(found.systems, drawn, strict=True):
        assert (face.name, face.standing) == (name, "estimated")
        assert len(face.captions) == len(CAPTIONS) + 2
        assert face.captions[-2].unit == "% load"
        assert face.captions[-1].label == "slurry, two feeders"
        assert face.tracks == ()
        assert face.captions[0].unit == "EUR/ha"
        assert all(" to " in caption.spread for caption in face.captions)
        assert soil_face(face, to_depth_cm=reach_cm(drawn)).startswith("<svg")


def test_a_single_draw_has_no_ranges() -> None:
    drawn = faces(estimated(TEXT, draws=1))
    assert not any(re.search(r"\d to \d", caption.spread) for face in drawn for caption in face.captions)


@pytest.mark.parametrize(
    ("kind", "says"),
    [("slot injector, open slots", "slots that do not follow the rows"), ("trailing shoe boom", "")],
)
def test_slurry_left_open(kind: str, says: str) -> None:
    text = TEXT.replace('kind = "cultivator injector, mixing"', f'kind = "{kind}"')
    start = text.index('name = "injector"\nabout')
    head, tail = text[:start], text[start:]
    depth = '  depth = "5 cm"\n' if says else ""
    tail = tail.replace('  depth = "14 +/- 2 cm"\n', depth, 1)
    first = tail.index('  [[system.pass]]\n  tractor = "tractor 125"\n  machines = ["seedbed')
    last = tail.index("  [[system.pass]]", first + 5)
    tail = tail[:first] + tail[last:]
    face = faces(estimated(head + tail))[-1]
    if says:
        assert face.band is None
        assert says in face.note
    else:
        assert face.band is not None
        assert face.band.shape == "surface"


def test_a_thin_band_of_uncertain_depth_is_drawn_and_said() -> None:
    text = TEXT.replace('dose = "30 t/ha"', 'dose = "4 t/ha"').replace(
        'depth = "22 +/- 1.5 cm"', 'depth = "22 +/- 6 cm"'
    )
    found = estimated(text)
    face = faces(found)[found.systems.index("strip")]
    assert face.band is not None
    assert face.band.top_cm.high <= face.band.bottom_cm
    assert "drawn down to its floor" in face.note
