"""The table of basic racks as a whole."""

from math import cos, degrees, pi, tan

from ringwright.gears.systems import basic_racks


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
