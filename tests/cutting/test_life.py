"""Life of an edge: against plain quadrature and counting, laws, limits."""

from math import erfc, exp, log, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright.cutting import chipping, life, seen_edges, wear
from ringwright.cutting.chipping import Chance
from ringwright.cutting.seen_edges import Round, Seen
from ringwright.errors import OutOfRange, Refusal

SIGMA = wear.sigma_of_cv(0.35)
NEVER = {zone: Chance(1e-9, 1e9) for zone in chipping.ZONES}


def _sound(n, minutes=0.2):
    return Round(np.zeros(n, dtype=np.int64), np.full(n, minutes))


def _phi(z):
    return 0.5 * erfc(-z / sqrt(2))


def test_wear_alone_is_the_normal_of_the_logarithms():
    belief = seen_edges.believe(_sound(100), seen_edges.prior_of(30, 0.35), NEVER, SIGMA)
    got = life.survival(belief, _sound(100), 0, 100)
    for k in (1, 50, 100):
        exact = _phi((log(30) - log(0.2 * k)) / sqrt(0.35**2 + SIGMA**2))
        assert got.wear[k] == pytest.approx(exact, abs=0.003)
        assert got.both[k] == pytest.approx(got.wear[k], abs=1e-6)


@pytest.mark.parametrize("n", [1, 10, 127])
def test_chips_alone_are_the_beta_integral(n):
    belief = seen_edges.believe(_sound(127), seen_edges.prior_of(1e6, 0.1), chipping.prior("carbide"), SIGMA)
    got = life.survival(belief, _sound(127), 0, n)
    assert got.chipping[-1] == pytest.approx(chipping.prior("carbide")["sound"].survive(n), abs=0.004)


def test_survive_is_the_product_of_what_is_learnt():
    c, product = Chance(0.5, 24.5), 1.0
    for _ in range(40):
        product *= 1 - c.mean
        c = c.told(1, 0)
    assert Chance(0.5, 24.5).survive(40) == pytest.approx(product, rel=1e-12)


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.floats(0.3, 20), st.floats(1, 500), st.floats(0.02, 0.98))
def test_quantile_of_the_belief_holds_its_share(a, b, share):
    q = Chance(a, b).quantile(share)
    drawn = np.random.default_rng(1).beta(a, b, 40_000)
    assert (drawn <= q).mean() == pytest.approx(share, abs=0.012)


def test_both_dangers_are_worse_than_either():
    teeth = Round(np.repeat([0, 1, 2, 3], 20), np.full(80, 0.3))
    belief = seen_edges.believe(teeth, seen_edges.prior_of(25, 0.6), chipping.prior("carbide"), SIGMA)
    got = life.survival(belief, teeth, 0, 80)
    assert (np.diff(got.both) <= 0).all()
    assert got.both[0] == 1
    assert (got.both <= np.minimum(got.wear, got.chipping) + 1e-12).all()


def test_worn_edges_are_the_conjugate_update():
    """With many thin teeth, the tooth in which the edge wears out says its life: the normal update in closed form."""
    teeth = _sound(900, 0.05)
    seen = [Seen(439, "worn"), Seen(899, "worn")]
    lives = [440 * 0.05, (seen[1].position - 439) * 0.05]
    belief = seen_edges.believe(teeth, seen_edges.prior_of(40, 0.6), NEVER, SIGMA, seen)
    exact = seen_edges.prior_of(40, 0.6).told(lives, SIGMA)
    middle, low, high = seen_edges.believed_minutes(belief)
    assert middle == pytest.approx(exact.minutes, rel=0.01)
    assert low == pytest.approx(exp(exact.m - 1.28155 * exact.t), rel=0.01)
    assert high == pytest.approx(exp(exact.m + 1.28155 * exact.t), rel=0.01)


def test_a_fine_edge_speaks_for_a_longer_life():
    teeth = _sound(200)
    plain = seen_edges.believe(teeth, seen_edges.prior_of(25, 0.6), NEVER, SIGMA)
    fine = seen_edges.believe(teeth, seen_edges.prior_of(25, 0.6), NEVER, SIGMA, [Seen(149, "fine")])
    changed = seen_edges.believe(teeth, seen_edges.prior_of(25, 0.6), NEVER, SIGMA, [Seen(149, "changed")])
    assert seen_edges.believed_minutes(fine)[0] > seen_edges.believed_minutes(plain)[0]
    assert seen_edges.believed_minutes(fine)[0] == pytest.approx(seen_edges.believed_minutes(changed)[0])
    assert fine.used == pytest.approx(30)
    assert changed.used == 0


def test_saying_fine_twice_is_saying_it_once():
    teeth = _sound(200)
    once = seen_edges.believe(teeth, seen_edges.prior_of(25, 0.6), NEVER, SIGMA, [Seen(100, "fine")])
    twice = seen_edges.believe(teeth, seen_edges.prior_of(25, 0.6), NEVER, SIGMA, [Seen(40, "fine"), Seen(100, "fine")])
    assert np.array_equal(once.x, twice.x)
    assert once.entered == twice.entered


def test_gone_lies_between_worn_and_chipped():
    teeth = _sound(100, 0.6)
    prior, chances = seen_edges.prior_of(30, 0.35), chipping.prior("carbide")
    p, x = {}, {}
    for what in ("worn", "chipped", "gone"):
        belief = seen_edges.believe(teeth, prior, chances, SIGMA, [Seen(22, what)])
        p[what], x[what] = belief.p[:, 0].mean(), belief.x.mean()
    assert p["worn"] < p["gone"] < p["chipped"]
    assert x["worn"] < x["gone"] < x["chipped"]


def test_edges_are_those_of_playing_it_tooth_by_tooth():
    """A second, slow play: one edge at a time, tooth by tooth, its own chances drawn afresh."""
    teeth = Round(
        np.r_[np.zeros(30, dtype=np.int64), np.ones(10, dtype=np.int64)], np.r_[np.full(30, 0.5), np.ones(10)]
    )
    chances = {**chipping.prior("carbide"), "hard": Chance(2.0, 18.0), "sound": Chance(1.0, 49.0)}
    belief = seen_edges.believe(teeth, seen_edges.prior_of(9, 0.4), chances, SIGMA)
    got = life.edges_needed(belief, teeth, None)
    rng = np.random.default_rng(5)
    slow = []
    for _ in range(6000):
        median = log(9) + 0.4 * rng.standard_normal()
        p = [rng.beta(c.a, c.b) for c in chances.values()]
        edges, left = 1, exp(median + SIGMA * rng.standard_normal())
        for k in range(40):
            left -= teeth.minutes[k]
            if (left <= 0 or rng.random() < p[teeth.zone[k]]) and k < 39:
                edges, left = edges + 1, exp(median + SIGMA * rng.standard_normal())
        slow.append(edges)
    slow = np.array(slow)
    for k in range(1, 8):
        assert got.chance(k) == pytest.approx((slow <= k).mean(), abs=0.025)


def test_one_edge_is_enough_as_often_as_it_survives():
    teeth = Round(np.repeat([0, 1], 30), np.full(60, 0.3))
    belief = seen_edges.believe(teeth, seen_edges.prior_of(25, 0.6), chipping.prior("carbide"), SIGMA)
    got = life.edges_needed(belief, teeth, None)
    # an edge that goes in the very last tooth still finished the round here, so the play is a hair above
    assert got.chance(1) == pytest.approx(life.survival(belief, teeth, 0, 59).both[-1], abs=0.015)


def test_changing_early_spares_wear_and_never_chips():
    teeth = _sound(120, 0.3)
    worn = seen_edges.believe(teeth, seen_edges.prior_of(12, 0.3), NEVER, SIGMA)
    kept = life.edges_needed(worn, teeth, life.safe_minutes(worn, 0.95)).failed.mean()
    run = life.edges_needed(worn, teeth, None).failed.mean()
    assert kept < 0.3 * run
    chips = seen_edges.believe(teeth, seen_edges.prior_of(1e5, 0.1), {**NEVER, "sound": Chance(20, 980)}, SIGMA)
    early, late = (life.edges_needed(chips, teeth, limit).failed.mean() for limit in (3.0, None))
    assert early == pytest.approx(late, rel=0.05)


def test_safe_minutes_are_outlived_so_often():
    belief = seen_edges.believe(_sound(50), seen_edges.prior_of(40, 0.6).told([22, 27], 0.35), NEVER, 0.35)
    assert life.safe_minutes(belief, 0.9) == pytest.approx(15.3, rel=0.01)  # worked by hand in the published case


def test_a_new_lap_has_a_fresh_edge():
    teeth = Round(np.repeat([0, 1], 20), np.full(40, 1.0), (0, 20))
    belief = seen_edges.believe(teeth, seen_edges.prior_of(1e5, 0.1), NEVER, SIGMA)
    assert life.edges_needed(belief, teeth, None).enough(0.99) == 2
    at_lap = seen_edges.believe(teeth, seen_edges.prior_of(1e5, 0.1), NEVER, SIGMA, [Seen(19, "fine")])
    assert at_lap.used == 0


@pytest.mark.parametrize(
    ("seen", "code"),
    [
        ([Seen(5, "fine"), Seen(5, "fine")], "seen_out_of_order"),
        ([Seen(50, "fine")], "seen_out_of_order"),
        ([Seen(-1, "fine")], "seen_out_of_order"),
        ([Seen(5, "tired")], "unknown_event"),
    ],
)
def test_what_cannot_have_been_seen(seen, code):
    with pytest.raises(Refusal) as refused:
        seen_edges.believe(_sound(50), seen_edges.prior_of(25, 0.6), NEVER, SIGMA, seen)
    assert refused.value.code == code


def test_an_impossible_life_is_said_so():
    with pytest.raises(Refusal) as refused:
        seen_edges.believe(_sound(50, 1e-6), seen_edges.prior_of(1000, 0.05), NEVER, SIGMA, [Seen(5, "worn")])
    assert refused.value.code == "seen_impossible"


def test_taylor_turned_round():
    for material, (n, C) in wear.TAYLOR.items():
        assert wear.taylor_life(wear.speed_for_life(37, n, C), n, C) == pytest.approx(37), material
    assert wear.life_ratio(1.2, 0.25) == pytest.approx(
        wear.taylor_life(120, 0.25, 500) / wear.taylor_life(100, 0.25, 500)
    )


def test_order_of_lives_does_not_matter_and_doubt_falls():
    one = seen_edges.prior_of(40, 0.6).told([22, 27, 31], 0.35)
    two = seen_edges.prior_of(40, 0.6).told([31, 22, 27], 0.35)
    assert one.m == pytest.approx(two.m)
    assert one.t == pytest.approx(two.t)
    assert one.t < seen_edges.prior_of(40, 0.6).told([22, 27], 0.35).t
    assert one.changed(0.5).t > one.t
    with pytest.raises(OutOfRange) as refused:
        one.told([20, -1], 0.35)
    assert refused.value.at == (1,)


@pytest.mark.parametrize(
    ("ask", "symbol"),
    [
        (lambda: wear.taylor_life(60, 0.7, 500), "n"),
        (lambda: wear.taylor_life(0, 0.25, 500), "v"),
        (lambda: wear.life_ratio(30, 0.25), "speed_ratio"),
        (lambda: wear.sigma_of_cv(3), "CV"),
        (lambda: wear.lives_needed(0, 0.3), "R"),
        (lambda: seen_edges.prior_of(40, 0.6).safe(1.0, 0.3), "p"),
        (lambda: seen_edges.prior_of(40, 0.6).changed(0), "ratio"),
        (lambda: Chance(0.5, 20).told(3, 4), "chipped"),
        (lambda: Chance(0.5, 20).survive(-1), "teeth"),
        (lambda: Chance(0.5, 20).quantile(0), "share"),
    ],
)
def test_outside_their_range_there_is_no_answer(ask, symbol):
    with pytest.raises(OutOfRange) as refused:
        ask()
    assert refused.value.symbol == symbol


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.floats(1, 200), st.floats(0.1, 1.0), st.lists(st.floats(1, 200), min_size=1, max_size=6))
def test_the_belief_moves_towards_what_was_seen_and_never_past_it(minutes, doubt, lives):
    before = seen_edges.prior_of(minutes, doubt)
    after = before.told(lives, SIGMA)
    mean = sum(log(T) for T in lives) / len(lives)

    assert min(before.m, mean) - 1e-9 <= after.m <= max(before.m, mean) + 1e-9
    assert after.t < before.t


def test_nine_edges_in_ten_outlive_the_safe_minutes():
    """Median lives drawn from the belief, one life from each: the share that is longer is the share that was asked."""
    belief, sigma = wear.MedianLife(log(30.0), 0.4), 0.3
    rng = np.random.default_rng(5)
    lives = np.exp(rng.normal(rng.normal(belief.m, belief.t, 200_000), sigma))
    for share in (0.5, 0.9, 0.99):
        assert float((lives > belief.safe(share, sigma)).mean()) == pytest.approx(share, abs=0.004)
    assert belief.safe(0.9, sigma) < belief.minutes < belief.safe(0.1, sigma)
