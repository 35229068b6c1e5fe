"""The table of basic racks as a whole."""

from math import cos, degrees, pi, radians, sin, tan

import pytest

from ringwright.errors import OutOfRange
from ringwright.gears import backlash, mesh, systems
from ringwright.gears.ring import RingGeometry
from ringwright.gears.systems import basic_racks
from ringwright.tables import load, sources


def test_every_rack_is_a_possible_one():
    racks = basic_racks()

    assert len({r.key for r in racks}) == len(racks)
    for rack in racks:
        assert 12 <= degrees(rack.alpha_n) <= 30
        assert rack.h_f > rack.h_a  # there is clearance
        assert rack.seen in ("everyday", "regular", "occasional", "rare")
        if rack.rho_f is not None:  # the rounding finds room between the rack's two flanks
            room = (pi / 4 - rack.h_f * tan(rack.alpha_n)) / (1 / cos(rack.alpha_n) - tan(rack.alpha_n))
            assert rack.rho_f <= room + 0.005


def test_the_old_angles_all_stand():
    angles = {round(degrees(rack.alpha_n), 1) for rack in basic_racks()}

    assert angles >= {12, 14.5, 15, 17.5, 20, 22.5, 24, 25, 27, 28, 30}
    for rack in basic_racks():
        assert rack.source in sources()
        assumed = "assumed" in rack.name
        assert assumed == (rack.source == "common-practice")  # a depth that nobody printed says so in its name


def test_story_f10_two_numbers():
    """The first sets diameter and thickness, the second the depth; a big ring's outside diameter hides it."""
    rack = systems.combination_rack(8, 10)
    ring = RingGeometry("external", 132, 25.4 / 8, h_a=rack.h_a, h_f=rack.h_f)
    pinion = RingGeometry("external", 10, 25.4 / 8, h_a=rack.h_a, h_f=rack.h_f)

    assert ring.s_n == pytest.approx(25.4 / 8 * pi / 2)
    assert ring.h / 25.4 == pytest.approx(0.225)
    assert 134 / (ring.d_a / 25.4) == pytest.approx(8.024, abs=0.001)  # (N + 2) / OD: looks like 8
    assert 12 / (pinion.d_a / 25.4) == pytest.approx(8.276, abs=0.001)  # on the pinion it is far out


def test_equal_numbers_are_a_full_depth_tooth():
    rack = systems.combination_rack(6, 6)

    assert (rack.h_a, rack.h_f) == (1, 1.25)


@pytest.mark.parametrize(("P_1", "P_2"), [(10, 8), (0.1, 8), (8, 300)])
def test_numbers_that_are_no_combination(P_1, P_2):
    with pytest.raises(OutOfRange):
        systems.combination_rack(P_1, P_2)


def test_fine_pitch_clearance_never_falls_below_two_thousandths():
    for P in (20, 48, 200):
        rack = systems.fine_pitch_rack(P)
        assert (rack.h_f - rack.h_a) / P == pytest.approx(0.2 / P + 0.002)


def test_transverse_racks_keep_their_transverse_angle_and_height():
    printed = {row["key"]: row for row in load("transverse_racks")}
    for rack, beta in systems.transverse_racks():
        m_t = 4.0
        ring = RingGeometry("external", 50, m_t * cos(beta), rack.alpha_n, beta, h_a=rack.h_a, h_f=rack.h_f)
        row = printed[rack.key]
        assert degrees(ring.alpha_t) == pytest.approx(float(row["alpha_t_deg"]))
        assert (ring.d_a - ring.d) / 2 == pytest.approx(float(row["addendum"]) * m_t)
        # the base helix by two ways round
        assert sin(ring.beta_b) == pytest.approx(sin(beta) * cos(rack.alpha_n))


def test_starter_pinions_are_enlarged_ones():
    """Story F12: fewer teeth than the blank was sized for; the (N + 2) rule is out by a whole tooth."""
    for system in systems.starter_systems():
        assert system.teeth[0] <= system.teeth[1]
        assert 0.4 < system.shift[0] <= system.shift[1] < 0.7
    pinion = systems.starter_pinion(10, 10, 12)
    assert pinion.z == 9
    assert pinion.x == 0.5
    assert pinion.d_a - RingGeometry("external", 9, 2.54, h_a=10 / 12).d_a == pytest.approx(2.54)


def test_a_starter_pinion_needs_its_shift_and_has_little_contact():
    """Free of undercut only by its shift; 0.020 in of extra centres, as the guide asks, cost 0.16 of a contact."""
    ring = RingGeometry("external", 132, 2.54, h_a=10 / 12, h_f=12.5 / 12)
    pair = mesh.Pair(systems.starter_pinion(10, 10, 12), ring)
    tight = backlash.tight_centre_distance(pair)

    assert 0 < mesh.least_shift(RingGeometry("external", 9, 2.54, h_a=10 / 12, h_f=12.5 / 12)) < 0.5
    assert mesh.transverse_contact_ratio(pair, tight) > 1 > mesh.transverse_contact_ratio(pair, tight + 0.508)


def test_equal_base_pitch_is_the_same_involute_spacing():
    m = systems.equal_base_pitch(4, radians(14.5), radians(20))
    step = 4 * pi * cos(radians(14.5))

    assert m * pi * cos(radians(20)) == pytest.approx(step)
    assert systems.equal_base_pitch(m, radians(20), radians(14.5)) == pytest.approx(4)
