"""The closed integral over the unknowns against plain sums over a grid."""

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from ringwright.identify.evidence import (
    SHIFT_WIDTH,
    SHIFTS,
    Scene,
    as_made,
    evidence,
    field_of,
    mixture,
    noise,
    responses,
    scales,
)
from ringwright.identify.hypotheses import Prior, constants, hypotheses
from ringwright.identify.normal import both_positive
from ringwright.identify.predict import Rings, contact_height, predict
from ringwright.identify.readings import Reading
from ringwright.identify.sieve import ceiling, log_sum, near_enough, weigh

READ = (
    Reading("tip_diameter", 108.6, 0.2, True),
    Reading("span", 38.2, 0.05, True, k=3),
    Reading("span", 53.1, 0.05, True, k=4),
)


@pytest.fixture(scope="module")
def one():
    scene = Scene(READ, 1, 20, True, Prior())
    rows, field = field_of(scene)
    want = (rows.m == 5) & np.isclose(rows.alpha, np.radians(20)) & (rows.ha == 1) & (rows.hf == 1.25)
    return scene, field.take(np.isin(field.row, np.flatnonzero(want)))


def _normal(v, var):
    return np.exp(-0.5 * v * v / var) / np.sqrt(2 * pi * var)


def test_integral_over_thinning_topping_slope_and_shift(one):
    scene, field = one
    found = evidence(scene, field)
    parts = mixture(scene)
    c = constants()
    # the part: shift comb node 4, much thinning, much topping; no bad reading
    node, thin, top = 4, c["thin_worn"], c["topped_worn"]
    part = int(np.flatnonzero((parts.node == node) & (parts.thin == thin) & (parts.top == top))[0])
    sd_w, sd_t, sd_b = 5 * thin, 5 * top, 5 * thin * c["thin_slope"]
    w = (np.arange(400) + 0.5) * (6 * sd_w / 400)
    t = (np.arange(300) + 0.5) * (6 * sd_t / 300)
    x = SHIFTS[node] + SHIFT_WIDTH * np.linspace(-6, 6, 121)
    b = sd_b * np.linspace(-6, 6, 121)
    var = scene.u**2 + (as_made(scene) * 5) ** 2
    tip_x, tip_t = x[:, None], t[None, :]
    p_tip = _normal(READ[0].value - (100 + 10 * (1 + tip_x)) + 2 * tip_t, var[0]) @ (
        2 * _normal(t, sd_t**2) * (t[1] - t[0])
    )
    base = Rings(1, *(np.asarray(float(v)) for v in (20, 5, np.radians(20), 1, 1.25)))
    X, W, B = x[:, None, None], w[None, :, None], b[None, None, :]
    like = np.ones((x.size, w.size, b.size))
    for n in (1, 2):
        standard = float(predict(READ[n], base)) + 10 * np.sin(np.radians(20)) * X
        height = float(contact_height(READ[n], replace(base, x=SHIFTS[node])))
        like *= _normal(READ[n].value - standard + np.cos(np.radians(20)) * (W + B * height), var[n])
    prior_b = _normal(b, sd_b**2) * (b[1] - b[0])
    prior_w = 2 * _normal(w, sd_w**2) * (w[1] - w[0])
    prior_x = _normal(x - SHIFTS[node], SHIFT_WIDTH**2) * (x[1] - x[0])
    total = float(np.einsum("xwb,x,w,b,x->", like, p_tip, prior_w, prior_b, prior_x))
    log_pattern = noise(scene, field.m)[2]

    got = float(found.log_e[0, part, 0] - parts.log_p[part] - log_pattern[0])

    assert got == pytest.approx(np.log(total), abs=0.01)


def test_weights_of_parts_patterns_and_rows_are_chances(one):
    scene, field = one

    assert np.exp(mixture(scene).log_p).sum() == pytest.approx(1, abs=1e-12)
    assert np.exp(noise(scene, field.m)[2]).sum() == pytest.approx(1, abs=1e-12)
    assert np.exp(field_of(scene)[1].log_p).sum() == pytest.approx(1, abs=1e-12)
    assert np.exp(hypotheses(Prior()).log_p).sum() == pytest.approx(1, abs=1e-12)


def _total(found):
    log_rows = log_sum(found.log_e) + found.field.log_p
    top = log_rows.max()
    return top + np.log(np.exp(log_rows - top).sum())


KITS = {
    "tip and two spans": (1, 20, READ),
    "with pins, root and chord": (
        1,
        20,
        (
            *READ,
            Reading("root_diameter", 87.4, 0.2),
            Reading("over_pins", 111.6, 0.03, True, D_M=8.64),
            Reading("chordal_thickness", 7.6, 0.05, True, h=5.0),
        ),
    ),
    "internal, with a helix": (
        -1,
        80,
        (
            Reading("tip_diameter", 317.0, 0.2, True),
            Reading("between_pins", 309.0, 0.4, True, D_M=6.72),
            Reading("helix_angle", 0.17, 0.01),
        ),
    ),
    "one reading": (1, 24, (Reading("tip_diameter", 131.0, 2.5),)),
}


@pytest.mark.parametrize("name", KITS)
def test_what_is_left_out_beforehand_would_not_have_counted(name):
    s, z, read = KITS[name]
    scene = Scene(read, s, z, True, Prior())
    _, field = field_of(scene)
    near = near_enough(scene, field)
    every, kept, weighed = evidence(scene, field), evidence(scene, near), weigh(scene, field)

    assert weighed.field.m.size <= near.m.size < field.m.size
    assert _total(kept) == pytest.approx(_total(every), abs=1e-3)
    assert _total(weighed) == pytest.approx(_total(kept), abs=1e-6)


@pytest.mark.parametrize("name", KITS)
def test_no_row_exceeds_its_ceiling(name):
    s, z, read = KITS[name]
    scene = Scene(read, s, z, True, Prior())
    near = near_enough(scene, field_of(scene)[1])
    f, slopes = responses(scene, near, read)
    most, got = ceiling(scene, near, f, slopes), log_sum(evidence(scene, near, (f, slopes)).log_e)

    assert np.all(got <= most + 1e-9)
    assert np.median(most - got) < 40  # and it is no idle ceiling


def test_a_bad_reading_by_a_rank_one_step_is_the_same_as_with_its_variance_put_in(one):
    scene, field = one
    found = evidence(scene, field)
    good, wider, log_pattern = noise(scene, field.m)
    for part in (0, 7, 20):
        node = int(found.parts.node[part])
        sd = scales(scene, found.parts, field.m)[0, part]
        A, r = found.slopes[0, :, node], scene.value - found.f[0, :, node]
        for pattern in range(7):
            v = good[0] + (wider[pattern - 1] if pattern else 0.0)
            C = np.diag(v) + (A * sd**2) @ A.T
            plain = -0.5 * (r @ np.linalg.solve(C, r) + np.linalg.slogdet(2 * np.pi * C)[1])
            K = np.linalg.inv(np.diag(1 / sd**2) + A.T @ (A / v[:, None]))
            mean = (K @ (A.T @ (r / v)))[-2:]
            s = np.sqrt(np.diag(K)[-2:])
            rho = K[-2, -1] / (s[0] * s[1])
            sided = float(both_positive(mean[0] / s[0], mean[1] / s[1], rho))
            want = plain + np.log(4 * sided) + found.parts.log_p[part] + log_pattern[pattern]

            assert found.log_e[0, part, pattern] == pytest.approx(want, abs=2e-5)
