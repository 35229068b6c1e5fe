"""Plate, arms, train and dial as drawn: counted and measured in the drawing, against the move by hand."""

from __future__ import annotations

import re
from io import BytesIO
from itertools import pairwise
from math import atan2, hypot, pi
from xml.etree import ElementTree

import numpy as np
import pypdf
import pytest

from ringwright import reckon
from ringwright.gears.outline import tooth_outline
from ringwright.gears.ring import RingGeometry
from ringwright.job import demo
from ringwright.paper import from_job, papers, set_up
from ringwright.paper.detent_drawing import detent_svg
from ringwright.paper.dial_drawing import dial_svg
from ringwright.paper.dividing_drawing import HUB, PIN_R, STYLE, plate_svg, plate_words
from ringwright.paper.train_drawing import train_svg, train_words
from ringwright.paper.way_drawings import drawings_of
from ringwright.reckon.rounds import make_sheet

SVG = "{http://www.w3.org/2000/svg}"
GEARS = [24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100]


def way(circle, holes, turns=0, second=None, method="plain", **more):
    arms = {"spaces": holes, "holes": holes + 1} if holes else None
    move = {"turns": turns, "circle": circle, "holes": holes, "second": second, "dial": None}
    return {"method": method, "move": move, "arms": arms, "gears": None, **more}


def root(svg):
    return ElementTree.fromstring(svg)


def centres(svg, name):
    return [(float(c.get("cx")), float(c.get("cy"))) for c in root(svg).iter(f"{SVG}circle")
            if c.get("class") == name and c.get("cx")]  # fmt: skip


def turn_of(x, y):
    """Place clockwise from the top, in turns."""
    return (atan2(x, -y) / (2 * pi)) % 1


def arm_edges(svg):
    """Turns at which the two arms' bevelled edges stand at their tips."""
    found = []
    for p in root(svg).iter(f"{SVG}path"):
        if p.get("class") == "face":
            points = [tuple(map(float, q)) for q in re.findall(r"(-?[\d.]+),(-?[\d.]+)", p.get("d"))]
            found.append(turn_of(*max(points[:2], key=lambda q: hypot(*q))))
    return found


@pytest.mark.parametrize(("circle", "holes"), [(23, 18), (39, 13), (20, 1), (66, 41), (127, 40)])
def test_pin_next_hole_and_arms_stand_where_the_count_says(circle, holes):
    svg = plate_svg(way(circle, holes))
    (pin,), (next_,) = centres(svg, "scr"), centres(svg, "cur")
    others = [c for c in centres(svg, "face") if hypot(*c) == pytest.approx(PIN_R, abs=0.1)]

    assert len(others) == circle - 2  # every hole is there once
    assert turn_of(*pin) == pytest.approx(0, abs=1e-4)
    assert turn_of(*next_) == pytest.approx(holes / circle, abs=1e-4)  # clockwise, the pin's own hole not counted
    near, far = arm_edges(svg)
    inside = [t for t in (turn_of(*c) for c in [*others, pin, next_]) if (t - near) % 1 < (far - near) % 1]
    assert len(inside) == holes + 1  # what the arms hold, the pin's own hole counted


def test_whole_turns_have_neither_arms_nor_a_next_hole():
    svg = plate_svg(way(20, 0, turns=2))
    assert centres(svg, "cur") == []
    assert arm_edges(svg) == []
    assert "same hole" in plate_words(way(20, 0, turns=2))


def test_the_hub_says_the_full_turns():
    said = [t.text for t in root(plate_svg(way(18, 12, turns=6))).iter(f"{SVG}text")]
    assert "6" in said
    assert "full turns" in said


@pytest.mark.parametrize("b", [2, -5])
def test_the_second_circle_shows_the_stop_pin_and_its_way(b):
    svg = plate_svg(way(15, 10, second={"circle": 17, "holes": b}, method="compound"))
    ends = [c for c in centres(svg, "cur") if hypot(*c) < PIN_R - 20]
    assert len(ends) == 1
    assert turn_of(*ends[0]) == pytest.approx((0.5 + b / 17) % 1, abs=1e-4)
    assert ("anticlockwise" in plate_words(way(15, 10, second={"circle": 17, "holes": b}))) == (b < 0)


def test_a_plate_with_spoilt_holes_says_which_hole_to_begin_in():
    said = plate_words(way(15, 10, second={"circle": 17, "holes": 2}, start_hole=3, second_start_hole=0))
    assert "Hole 0 is the plate’s own hole 3." in said
    assert "circle’s own hole 0" in said
    assert "own hole" not in plate_words(way(15, 10))


@pytest.mark.parametrize("circle", [15, 23, 49, 66, 100, 127, 199, 400])
def test_numbers_do_not_run_into_each_other(circle):
    for holes in (1, circle // 3, circle - 2):
        texts = root(plate_svg(way(circle, holes))).iter(f"{SVG}text")
        at = [(float(t.get("x")), float(t.get("y")), t.text) for t in texts]
        at = [(x, y, text) for x, y, text in at if hypot(x, y - 5) > PIN_R]
        for i, (x, y, one) in enumerate(at):
            for u, v, two in at[i + 1 :]:
                apart = hypot(x - u, y - v)
                assert apart > 11 or abs(x - u) > 5.2 * (len(one) + len(two)), f"{one} and {two} on {circle}, {holes}"


def _discs(svg):
    return [(float(c.get("cx")), float(c.get("r"))) for c in root(svg).iter(f"{SVG}circle") if c.get("class") == "cl"]


@pytest.mark.parametrize(
    ("gears", "idlers"),
    [
        ({"spindle": 56, "worm": 24, "idlers": 2, "plate_turns": "against"}, (24, 28)),
        ({"spindle": 40, "worm": 72, "idlers": 1, "plate_turns": "with"}, None),
        ({"spindle": 32, "stud_meshing_spindle": 56, "stud_meshing_worm": 28, "worm": 40, "idlers": 0,
          "plate_turns": "with"}, None),
        ({"spindle": 48, "stud_meshing_spindle": 72, "stud_meshing_worm": 24, "worm": 40, "idlers": 1,
          "plate_turns": "against"}, None),
    ],
)  # fmt: skip
def test_gears_in_mesh_touch_at_pitch_circles_to_one_scale(gears, idlers):
    svg = train_svg(gears, idlers)
    discs = sorted(_discs(svg))
    counts = [gears["spindle"], *(gears[n] for n in ("stud_meshing_spindle", "stud_meshing_worm") if n in gears),
              *(idlers or [40] * gears["idlers"]), gears["worm"]]  # fmt: skip
    assert len(discs) == len(counts)
    scale = {round(r / n, 3) for r, n in zip(sorted(r for _x, r in discs), sorted(counts), strict=True)}
    assert max(scale) - min(scale) < 0.002
    shafts = sorted({round(x, 1) for x, _r in discs})
    for a, b in pairwise(shafts):
        reach = [ra + rb for xa, ra in discs for xb, rb in discs if abs(xa - a) < 0.2 and abs(xb - b) < 0.2]
        assert any(r == pytest.approx(b - a, abs=0.15) for r in reach), "neighbours do not touch"


def test_every_gear_has_its_teeth_and_neighbours_turn_against_each_other():
    gears = {"spindle": 56, "worm": 24, "idlers": 2, "plate_turns": "against"}
    svg = train_svg(gears, (24, 28))
    outlines = [p.get("d") for p in root(svg).iter(f"{SVG}path") if (p.get("class") or "").startswith("face")]
    assert [len(re.findall(r",", d)) // 4 for d in outlines] == [56, 24, 28, 24]
    senses = []
    for g in root(svg).iter(f"{SVG}g"):
        way_ = next(p for p in g.iter(f"{SVG}path") if p.get("class") == "way").get("d")
        xs = [float(x) for x in re.findall(r"[ML](-?[\d.]+),", way_)]
        senses.append(xs[-1] > xs[0])
    assert senses == [True, False, True, False]


def test_who_meshes_with_whom_is_said():
    said = train_words({"spindle": 32, "stud_meshing_spindle": 56, "stud_meshing_worm": 28, "worm": 40, "idlers": 0,
                        "plate_turns": "with"})  # fmt: skip
    assert said == ("32 (spindle) meshes with 56 (stud). 56 (stud) turns with 28 (stud) on one stud. "
                    "28 (stud) meshes with 40 (worm shaft). The plate turns with the crank.")  # fmt: skip


def test_the_labels_of_a_train_stay_on_the_sheet_and_apart():
    for gears, idlers in (
        ({"spindle": 24, "worm": 72, "idlers": 2, "plate_turns": "against"}, None),
        ({"spindle": 100, "worm": 24, "idlers": 1, "plate_turns": "with"}, None),
        ({"spindle": 24, "stud_meshing_spindle": 100, "stud_meshing_worm": 24, "worm": 24, "idlers": 1,
          "plate_turns": "against"}, None),
    ):  # fmt: skip
        svg = root(train_svg(gears, idlers))
        x0, y0, wide, tall = map(float, svg.get("viewBox").split())
        at = [(float(t.get("x")), float(t.get("y")), 4.8 * len(t.text)) for t in svg.iter(f"{SVG}text")]
        for i, (x, y, half) in enumerate(at):
            assert x0 <= x - half
            assert x + half <= x0 + wide
            assert y0 + 8 <= y <= y0 + tall
            assert all(abs(y - v) >= 15 or abs(x - u) >= half + h for u, v, h in at[i + 1 :])


def test_the_dial_points_at_the_reading_of_tooth_two():
    (found,) = reckon.divide(
        {
            "divisions": 127,
            "device": {"ratio": 90, "dial": {"smallest_arcsec": 60, "vernier_arcsec": 10}},
            "methods": ["dial"],
        }
    ).ways
    svg = dial_svg(found)
    points = [p.get("d") for p in root(svg).iter(f"{SVG}path") if p.get("class") == "cur"]
    x, y = map(float, re.match(r"M(-?[\d.]+),(-?[\d.]+)", points[0]).groups())
    # 360/127 degrees is 2 deg 50 min 4.7 s, set to 2 deg 50 min 0 s of the 4 degrees of a turn
    assert turn_of(x, y) == pytest.approx((2 + 50 / 60) / 4, abs=1e-4)


def test_a_way_brings_the_drawings_it_has():
    shelf = {"name": "head", "ratio": 40, "circles": [[37, 39, 41, 43, 47, 49]], "change_gears": GEARS}
    ways = reckon.divide({"divisions": 127, "device": shelf, "methods": ["differential", "from_teeth"]}).ways
    assert {found.method: len(drawings_of(found)) for found in ways} == {"differential": 2, "from_teeth": 0}


def test_records_and_their_json_are_drawn_alike():
    found = reckon.divide({"divisions": 115, "device": {"ratio": 90, "circles": [[23]]}}).ways[0]
    assert [d.svg for d in drawings_of(found)] == [d.svg for d in drawings_of(found.model_dump(mode="json"))]


def test_words_of_a_user_stay_text():
    svg = plate_svg(way(23, 18, device="<b>&"))
    assert "<b>" not in svg
    assert root(plate_svg(way(23, 18), style=STYLE)) is not None


@pytest.mark.parametrize(("kind", "detent"), [
    ("external", {"shape": "ball"}), ("internal", {"shape": "ball"}), ("external", {"shape": "wedge"}),
    ("external", {"shape": "pawl", "bears_on": "minus"}), ("external", {"shape": "pin", "diameter_mm": 4}),
])  # fmt: skip
def test_a_drawn_detent_touches_the_drawn_tooth_where_it_is_marked(kind, detent):
    ring = RingGeometry(kind, 60, 4.0)
    answer = reckon.detent({"ring": {"kind": kind, "teeth": 60, "module_mm": 4}, "detent": detent})
    svg = detent_svg(tooth_outline(ring, 200).tolist(), answer.detent, answer.seat, kind, 60)
    teeth = [np.array([tuple(map(float, q)) for q in re.findall(r"(-?[\d.]+),(-?[\d.]+)", p.get("d"))])
             for p in root(svg).iter(f"{SVG}path") if p.get("class") == "metal"]  # fmt: skip
    marks = centres(svg, "cur")
    assert marks
    for x, y in marks:
        assert min(np.hypot(*(t - (x, y)).T).min() for t in teeth) < 1.0
    assert HUB < PIN_R


def _round():
    """The demo's round with 127 by change gears on a 40:1 head."""
    shelf = {"name": "head", "ratio": 40, "circles": [[39]], "change_gears": GEARS}
    asked = {"divisions": 127, "device": shelf, "methods": ["differential"]}
    job = demo.demo_job()
    taken = {"divide": asked, "way": reckon.divide(asked).ways[0].model_dump(mode="json")}
    plan = job.set_out.rounds[0].model_copy(update=taken)
    job = job.model_copy(update={"set_out": job.set_out.model_copy(update={"rounds": (plan,)})})
    return job, make_sheet(job, demo.demo_kit(), plan.round_id)


def _words(pdf):
    return " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(pdf)).pages)


def test_both_papers_of_a_round_carry_its_drawings_and_every_tooth_two_boxes():
    job, sheet = _round()
    table = from_job.division_from(job, sheet, "2025-11-25")

    assert len(table.dividing) == 2
    for pdf in (papers.division_table(table), papers.setup_sheet(set_up.setup_of_round(job, sheet, "2025-11-25"))):
        assert "pin in hole 0, which is not counted" in _words(pdf)
        assert "The plate turns against the crank." in _words(pdf)
    rows = [r for block in papers.division_blocks(table) if block["kind"] == "table" for r in block["rows"]]
    assert sorted(int(r[0]) for r in rows) == list(range(1, 128))
    assert all(r[-2:] == [None, None] for r in rows)  # a box for set, a box for cut


def test_a_plan_that_was_changed_since_lends_no_drawing_to_the_old_sheet():
    job, sheet = _round()
    newer = job.set_out.rounds[0].model_copy(update={"revision": 2})
    changed = job.model_copy(update={"set_out": job.set_out.model_copy(update={"rounds": (newer,)})})

    assert from_job.division_from(changed, sheet, "2025-11-25").dividing == ()
