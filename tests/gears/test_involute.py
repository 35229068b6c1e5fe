"""The involute function against a second arithmetic of fifty digits."""

import mpmath
import numpy as np
import pytest

from ringwright.errors import OutOfRange
from ringwright.gears.involute import inv, inverse_inv

ANGLES = np.concatenate([np.geomspace(1e-6, 0.199999, 60), np.linspace(0.2, 1.5, 60), [1.55, 1.569]])


def test_inv_to_double_precision_at_every_size():
    with mpmath.workdps(50):
        exact = [float(mpmath.tan(mpmath.mpf(float(a))) - mpmath.mpf(float(a))) for a in ANGLES]

    assert inv(ANGLES) == pytest.approx(exact, rel=4.5e-16, abs=0)


def test_inverse_undoes_inv_for_both_signs():
    both = np.concatenate([-ANGLES, [0.0], ANGLES])

    assert inverse_inv(inv(both)) == pytest.approx(both, rel=4.5e-16, abs=0)


def test_large_values_come_near_the_right_angle():
    a = inverse_inv(500.0)

    assert np.tan(a) - a == pytest.approx(500.0, rel=1e-10)


def test_degrees_by_mistake_are_refused():
    with pytest.raises(OutOfRange, match=r"alpha = 20 is outside -1\.57 to 1\.57"):
        inv(20)
