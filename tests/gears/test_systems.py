"""The table of basic racks as a whole."""

from math import degrees

from ringwright.gears.systems import basic_racks


def test_every_rack_is_a_possible_one():
    racks = basic_racks()

    assert len({r.key for r in racks}) == len(racks)
    for rack in racks:
        assert 12 <= degrees(rack.alpha_n) <= 30
        assert rack.h_f > rack.h_a  # there is clearance
        assert rack.seen in ("everyday", "regular", "occasional", "rare")
        # the radius finds room in the clearance: rho (1 - sin alpha) = c at most, to the digits recalled
        if rack.rho_f is not None and rack.h_a == 1.0:
            assert rack.rho_f <= 0.5
