"""The witnesses beside the ring's own readings: counts, racks, the mate, the origin, the transverse plane."""

from math import pi

import numpy as np
import pytest

from ringwright.errors import Refusal
from ringwright.identify import Mate, Origin, Prior, Reading, Segments, Tried, factors, identify, system_weights
from ringwright.identify.counting import chances_of_counts
from ringwright.identify.evidence import Scene, field_of, responses
from ringwright.identify.hypotheses import constants
from ringwright.identify.mate import evidence_of_mate
from ringwright.identify.sieve import log_sum, weigh
from ringwright.identify.tried import chance_smooth, log_chance

READ = (Reading("tip_diameter", 648, 1.0, True), Reading("span", 222.9, 0.05, True, k=15))


@pytest.mark.parametrize(
    ("z", "sure", "segments"),
    [
        (127, True, None),
        (127, False, None),
        (6, False, None),
        (132, False, Segments(4, 33)),
        (127, False, Segments(8, 16)),
    ],
)
def test_chances_of_counts_add_up_to_one(z, sure, segments):
    found = chances_of_counts(z, sure, segments)

    assert sum(p for _, p in found) == pytest.approx(1)
    assert len({n for n, _ in found}) == len(found)
    assert all(n >= 5 for n, _ in found)


def test_segments_that_agree_with_the_count_make_it_surer():
    alone = dict(chances_of_counts(128, False))
    both = dict(chances_of_counts(128, False, Segments(8, 16)))

    assert both[128] > 0.98 > alone[128]


def test_a_rack_is_a_chance_between_never_and_always():
    m = np.linspace(3, 8, 501)
    p = chance_smooth(Tried(5.0, np.radians(20), True), m, np.radians(20))

    assert p.max() == pytest.approx(0.95)
    assert p.min() == pytest.approx(0.05, abs=1e-6)
    assert m[p.argmax()] == pytest.approx(5)
    # module known to 3 % only: the mean of the chance over that spread
    x = np.random.default_rng(2).normal(0, 0.03, 200_000)
    seen = chance_smooth(Tried(5.0, np.radians(20), True), 5.05 * np.exp(x), np.radians(20)).mean()
    assert float(
        chance_smooth(Tried(5.0, np.radians(20), True), np.array(5.05), np.radians(20), 0.03)
    ) == pytest.approx(float(seen), abs=0.003)


def test_smooth_and_bumping_add_up():
    _, field = field_of(Scene(READ, 1, 127, True, Prior()))
    both = [np.exp(log_chance((Tried(5.0, 0.35, smooth),), field)) for smooth in (True, False)]

    assert sum(both) == pytest.approx(1)


def test_the_mate_weighs_rows_of_the_table_as_a_ring_of_its_own_would():
    # for rows of a system nothing is shared but the row: the mate's evidence is that of a ring of its own count
    scene = Scene(READ, 1, 127, True, Prior())
    found = weigh(scene, field_of(scene)[1])
    readings = (Reading("tip_diameter", 95, 0.1), Reading("span", 38.1, 0.05, k=3))
    got = log_sum(evidence_of_mate(Mate(1, 17, readings), scene, found).log_e)
    own = Scene(readings, 1, 17, True, Prior())
    rows, field = field_of(own)
    mine = weigh(own, field, 1e-12)
    alone = dict(zip(mine.field.row.tolist(), log_sum(mine.log_e), strict=True))
    pairs = [(g, alone[r]) for r, g in zip(found.field.row.tolist(), got, strict=True) if r >= 0 and r in alone]

    assert len(pairs) >= 5
    assert [a for a, _ in pairs] == pytest.approx([b for _, b in pairs], abs=1e-5)
    assert rows.m.size > 8000


def test_a_ring_of_no_system_must_have_the_module_of_its_mate():
    # ring of 5.31 that nothing standard explains; a mate of 5.31 agrees, a mate 2 % off does not
    m, cos20 = 5.31, np.cos(np.radians(20))
    base = pi * m * cos20
    ring = (
        Reading("tip_diameter", 62 * m, 0.05),
        Reading("pitch", pi * m, 0.02),
        Reading("span_difference", base, 0.02, n=1),
    )
    scene = Scene(ring, 1, 60, True, Prior())
    found = weigh(scene, field_of(scene)[1])

    def best(size):
        mate = Mate(
            1, 20, (Reading("pitch", pi * size, 0.02), Reading("span_difference", pi * size * cos20, 0.02, n=1))
        )
        off = found.field.row < 0
        total = log_sum(evidence_of_mate(mate, scene, found).log_e) + log_sum(found.log_e)
        return float(total[off].max())

    assert best(m) > best(1.02 * m) + 10


def test_origin_by_hand():
    # before 1960 in Britain, inch threads: DP 4 x 2, circular 3 x 2, combination 2
    weights = {"module": 0.5, "diametral_pitch": 0.38 * 8, "circular_pitch": 0.06 * 6, "combination": 0.06 * 2}
    origin = Origin({"made_in": "britain", "threads": "inch"}, 1930)
    got = system_weights(Prior(origin=origin))
    total = sum(weights.values()) + 0.38 * 8 * (2 - 1) * 0.44  # 14 1/2 twice as often: 0.44 of DP

    assert factors(origin)["diametral_pitch", 14.5] == 2
    assert got["module"] == pytest.approx(0.5 / total, rel=1e-9)
    assert sum(got.values()) == pytest.approx(1)


def test_in_the_transverse_plane_the_diameter_does_not_feel_the_helix():
    read = (Reading("pitch", 15.708, 0.05), Reading("helix_angle", np.radians(30), np.radians(0.1)))
    scene = Scene(read, 1, 60, True, Prior())
    _, field = field_of(scene)
    across = field.take(field.transverse & (field.row >= 0))
    f, slopes = responses(scene, across.take(np.arange(50)), read)

    assert f[:, 0, 0] == pytest.approx(pi * across.m[:50])
    assert np.abs(slopes[:, 0, :, 2]).max() < 1e-6
    assert slopes[:, 1, :, 2] == pytest.approx(1)
    share = np.exp(field.log_p[field.transverse]).sum() / np.exp(field.log_p[field.free]).sum()
    assert share == pytest.approx(constants()["helical_transverse"])


def test_what_is_not_on_the_mate_is_refused_there():
    with pytest.raises(Refusal, match="span_teeth_impossible"):
        identify(1, 127, READ, mate=Mate(1, 17, (Reading("span", 80, 0.1, k=9),)))


def test_no_row_left_is_no_crash():
    ranked = identify(1, 5, (Reading("tip_diameter", 99_000.0, 0.01),))

    assert ranked.candidates == ()
    assert ranked.other_probability == 1
