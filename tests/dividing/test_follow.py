"""The real ring: positions from what was measured, and what plate and teeth leave at a joint."""

from __future__ import annotations

from math import atan2, cos, dist, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.dividing.follow import among_old_teeth, from_pitches, of_stretch, on_own_teeth, roundness
from ringwright.errors import Refusal
from ringwright.reckon.base import Problems


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.lists(st.integers(-50, 50), min_size=5, max_size=60), st.integers(-20, 20))
def test_pitches_of_a_whole_circle_give_its_positions_whatever_the_gauge_adds(E, bias):
    N = len(E)
    f = {k: E[k % N] - E[k - 1] + bias for k in range(1, N + 1)}
    found, closing = from_pitches(N, f)

    assert closing == pytest.approx(N * bias)
    assert [found[k] - found[1] for k in range(1, N + 1)] == pytest.approx([e - E[0] for e in E], abs=1e-9)


def test_a_chain_across_the_last_tooth_and_one_with_a_gap():
    found, closing = from_pitches(10, {9: 1.0, 10: 2.0, 1: 4.0})
    assert (found, closing) == ({9: 0.0, 10: 1.0, 1: 3.0, 2: 7.0}, None)
    with pytest.raises(Refusal) as refusal:
        from_pitches(10, {1: 1.0, 3: 2.0})
    assert refusal.value.code == "pitch_chain_broken"


def test_a_shrunk_stretch_closes_and_every_other_pitch_is_a_little_wide():
    E = of_stretch(127, 120, 10, 300.0)  # across the last tooth
    pitches = {k: E[k % 127 + 1] - E[k] for k in range(1, 128)}
    assert sum(pitches.values()) == pytest.approx(0, abs=1e-9)
    inside = [pitches[k] for k in (*range(120, 128), *range(1, 10))]
    assert inside == pytest.approx([-300 / 17 + 300 / 127] * 17)
    assert pitches[60] == pytest.approx(300 / 127)


def test_a_ring_off_centre_moves_its_teeth_as_geometry_says():
    N, r, e, high = 127, 300.0, 0.05, 1.1  # mm
    angle = [2 * pi * (k - 1) / N for k in range(1, N + 1)]
    points = [(r * cos(t) + e * cos(high), r * sin(t) + e * sin(high)) for t in angle]
    out = {k: (dist((0, 0), p) - r) * 1000 for k, p in enumerate(points, 1)}
    round_, E = roundness(N, out)

    assert round_.off_centre == pytest.approx(50, abs=0.01)
    assert round_.off_centre_tooth == round(high / (2 * pi) * N) + 1
    for k, (x, y) in enumerate(points, 1):
        moved = ((atan2(y, x) - angle[k - 1] + pi) % (2 * pi) - pi) * r * 1000
        assert E[k] == pytest.approx(moved, abs=0.02)


def test_an_oval_ring_is_bent_without_being_stretched():
    N, r, a = 360, 300.0, 100.0  # mm, um
    round_, E = roundness(N, {k: a * cos(2 * (2 * pi * (k - 1) / N - 0.4)) for k in range(1, N + 1, 7)})
    assert round_.oval == pytest.approx(a)
    assert round_.off_centre == pytest.approx(0, abs=1e-9)
    place = []
    for k in range(1, N + 1):
        t = 2 * pi * (k - 1) / N
        out = r + a / 1000 * cos(2 * (t - 0.4))
        place.append((out * cos(t + E[k] / 1000 / r), out * sin(t + E[k] / 1000 / r)))
    chords = [dist(place[k], place[(k + 1) % N]) for k in range(N)]
    assert max(chords) - min(chords) < 2e-6  # of 5.2 mm; the readings alone would change them by 3e-3


def test_too_few_readings_of_run_out():
    with pytest.raises(Refusal) as refusal:
        roundness(100, {1: 0.0, 26: 5.0, 51: 0.0, 76: -5.0})
    assert refusal.value.code == "run_out_too_few"


def test_new_teeth_among_old_ones_by_plate_and_by_teeth():
    # teeth 5 to 7 are new; the ring has shrunk there, so that tooth 8 stands 40 um too near
    E = dict.fromkeys(range(1, 5), 0.0) | dict.fromkeys(range(8, 21), -40.0)
    found = among_old_teeth(20, E, [1, 2, 3, 4], [5, 6, 7])

    assert found.phase == 0
    assert [(j.tooth, j.next, j.plate, j.teeth) for j in found.joints] == [(4, 5, 0.0, -10.0), (7, 8, -40.0, -10.0)]
    assert (found.seam, found.plate_pitch, found.teeth_pitch) == (40, 40, 10)
    with pytest.raises(Refusal) as refusal:
        among_old_teeth(20, {1: 0.0}, [1], [5])
    assert (refusal.value.code, refusal.value.value) == ("tooth_not_measured", 4)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.lists(st.floats(-100, 100), min_size=12, max_size=12), st.sets(st.integers(1, 12), min_size=1, max_size=11))
def test_pitches_round_the_mended_ring_still_close(E, cut):
    known = {k: E[k - 1] for k in range(1, 13) if k not in cut}
    found = among_old_teeth(12, known, list(known), sorted(cut))
    for by in ("plate", "teeth"):
        total, joints = 0.0, {j.tooth: getattr(j, by) for j in found.joints}
        for k in range(1, 13):
            after = k % 12 + 1
            if k in known and after in known:
                total += known[after] - known[k]
            elif k in cut and after in cut:
                total += 0.0 if by == "plate" else _inside(found.joints, k, cut)
            else:
                total += joints[k]
        assert total == pytest.approx(0, abs=1e-9)


def _inside(joints, k, cut):
    while k in cut:
        k = (k - 2) % 12 + 1
    return next(j.teeth for j in joints if j.tooth == k)


def test_the_mean_of_the_sound_teeth_leaves_the_least_squares():
    E = {1: 0.0, 2: 30.0, 3: -12.0, 4: 6.0}
    found = on_own_teeth(E, [1, 2, 3, 4], [1, 2, 3, 4])
    assert found.phase == 6
    assert found.off == 24
    squares = [sum((e - c) ** 2 for e in E.values()) for c in (found.phase - 0.1, found.phase, found.phase + 0.1)]
    assert squares[1] == min(squares)


TABLE = {"name": "t", "ratio": 90, "dial": {"smallest_arcsec": 60, "vernier_arcsec": 10}}
ASKED = {"divisions": 127, "device": TABLE, "radius_mm": 317.5}


def test_a_lead_in_forgives_what_a_flank_does_not():
    measured = {"position_um": [{"tooth": k, "um": 120 if k > 100 else 0} for k in range(1, 128)], "sound": [1, 30, 60]}
    lead_in = reckon.divide({**ASKED, "work": "lead_in", "measured": measured}).real_ring
    flank = reckon.divide({**ASKED, "work": "flank", "teeth": [99, 100, 101], "measured": measured}).real_ring

    assert (lead_in.follow, lead_in.plate.off_tooth_um, lead_in.seam_um) == ("plate", 120, None)
    assert (flank.follow, flank.seam_um, flank.teeth.worst_pitch_um) == ("teeth", 120, 30)
    tight = reckon.divide({**ASKED, "work": "lead_in", "tolerance_um": 100, "measured": measured}).real_ring
    assert (tight.follow, tight.teeth.off_tooth_um) == ("teeth", 0)


def test_where_the_ring_can_still_be_clocked():
    run_out = [{"tooth": k, "um": 60 * cos(2 * pi * (k - 1) / 127)} for k in range(1, 128, 12)]
    ring = reckon.divide({**ASKED, "work": "lead_in", "measured": {"run_out_um": run_out}}).real_ring

    assert (ring.centre_off_um, ring.centre_high_tooth) == (pytest.approx(60), 1)
    assert ring.oval_um == pytest.approx(0, abs=1e-9)
    assert ring.plate.off_tooth_um == pytest.approx(60, abs=0.1)


@pytest.mark.parametrize(
    ("measured", "code", "where"),
    [
        ({"pitch_um": [{"tooth": 1, "um": 1}], "position_um": [{"tooth": 1, "um": 1}]}, "one_measure", "measured"),
        ({"sound": [1]}, "nothing_measured", "measured"),
        (
            {"pitch_um": [{"tooth": 1, "um": 1}, {"tooth": 4, "um": 1}]},
            "pitch_chain_broken",
            "measured.pitch_um[0].tooth",
        ),
        (
            {"position_um": [{"tooth": 3, "um": 1}, {"tooth": 3, "um": 1}]},
            "read_twice",
            "measured.position_um[1].tooth",
        ),
        ({"position_um": [{"tooth": 300, "um": 1}]}, "no_such_tooth", "measured.position_um[0].tooth"),
        ({"position_um": [{"tooth": 3, "um": 1}], "sound": [5]}, "no_sound_tooth", "measured.sound[0]"),
        ({"position_um": [{"tooth": 3, "um": 1}]}, "tooth_not_measured", "measured"),
    ],
)
def test_measured_rings_that_cannot_be_answered(measured, code, where):
    with pytest.raises(Problems) as problems:
        reckon.divide({**ASKED, "work": "lead_in", "measured": measured})
    assert [(p.code, p.where) for p in problems.value.problems] == [(code, where)]
