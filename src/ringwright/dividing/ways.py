"""Every way to divide that the shelf has, with its errors and its effort, in the order of preference."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, islice
from math import gcd, lcm

from ringwright.dividing.accuracy import NONE, Errors, arc_um, of_equal_moves, of_positions, on_dial
from ringwright.dividing.devices import Device, Train
from ringwright.dividing.settings import Move, assert_closes, crank_turns, fits, on_circle
from ringwright.dividing.trains import compound_train, needed_ratios, simple_settings

METHODS = ("direct", "plain", "compound", "differential", "dial", "step_over", "plate_to_make", "from_teeth")

#: Seconds of one act at the head, for comparing ways only (common practice, no source).
PIN, CRANK, PLATE_TOO, DIAL, DETENT, NOSE = 6, 2, 8, 12, 10, 5
#: Seconds before the first tooth: hanging the train, its stud, drilling a plate.
HANG_TRAIN, STUD, DRILL_PLATE, MAKE_DETENT = 1200, 600, 14_400, 7200
#: Furthest step-over, in spaces, and the largest plate worth drilling.
FURTHEST_STEP, LARGEST_PLATE, SMALLEST_PLATE = 30, 400, 20


@dataclass(frozen=True, slots=True)
class Way:
    """One way to divide N; ``device`` is the place in the shelf, ``p`` the spaces that one move goes.

    ``step`` is the spindle's turn at one move [turn]; for a dial it is one step rounded, for show. ``errors`` is None
    when they are those of the ring's own teeth.
    """

    method: str
    device: int
    move: Move
    step: Fraction
    errors: Errors | None
    moves: int
    seconds: int
    p: int = 1
    train: Train | None = None

    @property
    def exact(self) -> bool:
        """Whether every tooth stands where it should, to no error at all."""
        return self.errors is not None and self.errors.worst == 0 and self.errors.closing == 0


def _effort(K: Fraction, teeth: int, per_move: int, before: int = 0, rounds: int = 1) -> int:
    return round(before + teeth * per_move + rounds * K * CRANK)


def direct(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Straight on the nose plate, the worm out of mesh; only where its holes are a multiple of N."""
    for D in sorted(set(device.direct)):
        if D % N == 0:
            yield Way("direct", at, Move(0, D // N, D), Fraction(1, N), NONE, teeth, teeth * NOSE)


def plain(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Crank and plate; all circles that serve exactly, or else the three nearest settings."""
    x = crank_turns(device.K, N)
    circles = [c for c in device.circles if fits(x, c)]
    if x.denominator == 1:
        circles = circles[:1]
    found = []
    for C in circles or device.circles:
        move = on_circle(x, C)
        if move.x == 0:
            continue
        errors = of_equal_moves(N, move.x / device.K)
        if 2 * N * abs(errors.closing) >= 1:
            continue  # N moves would not close within half a space: that is a setting for another count
        if circles:
            assert_closes(device.K, N, move.x, Fraction(0))
        way = Way("plain", at, move, move.x / device.K, errors, teeth, _effort(device.K, teeth, PIN))
        found.append((errors.worst, move.holes, way))
    found.sort(key=lambda item: item[:2])
    return (way for *_, way in (found if circles else found[:3]))


def compound(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Two moves on two circles of one plate side, exact ones only; the two that turn least."""
    x = crank_turns(device.K, N)
    found: dict[tuple[int, int], Way] = {}
    for side in device.sides:
        for one, two in combinations(sorted(set(side)), 2):
            whole = lcm(one, two)
            if whole % x.denominator or one % x.denominator == 0 or two % x.denominator == 0:
                continue
            for C1, C2 in ((one, two), (two, one)):
                move = _least_compound(x, C1, C2)
                assert_closes(device.K, N, move.worm, Fraction(0))
                seconds = _effort(device.K, teeth, PIN + PLATE_TOO)
                found[C1, C2] = Way("compound", at, move, Fraction(1, N), NONE, 2 * teeth, seconds)
    return islice(sorted(found.values(), key=_least_turning), 2)


def _least_turning(way: Way) -> tuple[bool, int, int, int]:
    assert way.move.second
    assert way.move.circle
    return way.move.second[1] < 0, way.move.turns, abs(way.move.second[1]) + way.move.holes, -way.move.circle


def _least_compound(x: Fraction, C1: int, C2: int) -> Move:
    """Solve a/C1 + b/C2 = x in whole a, b with a above 0, plate with the crank where possible, |a| + |b| least."""
    g = gcd(C1, C2)
    one, two, M = C1 // g, C2 // g, int(x * lcm(C1, C2))
    a0 = M * pow(two, -1, one) % one if one > 1 else 0
    pairs = []
    for k in range(-2, int(x) * g + 3 * g + 2):
        a = a0 + k * one
        b = (M - a * two) // one
        if a > 0 and b and abs(b) < 2 * C2:
            pairs.append((b < 0, abs(Fraction(a, C1)) + abs(Fraction(b, C2)), a, b))
    _, _, a, b = min(pairs)
    return Move(a // C1, a % C1, C1, (C2, b))


def differential(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Crank and plate with the plate geared to the spindle; the three slowest plates, compound if no simple train."""
    found = sorted(simple_settings(device, N), key=lambda s: (s[1].ratio, s[1].idlers))[:3]
    if not found:
        for R, move in needed_ratios(device, N) if len(device.gears) > 3 else ():
            train = compound_train(device.gears, R)
            if train is not None:
                found.append((move, train))
                break
    for move, train in found:
        assert_closes(device.K, N, move.x, train.R)
        before = HANG_TRAIN + (STUD if train.compound else 0)
        seconds = _effort(device.K, teeth, PIN, before)
        yield Way("differential", at, move, Fraction(1, N), NONE, teeth, seconds, train=train)


def dial(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Absolute readings of the dial on the worm shaft, each rounded by itself."""
    if device.dial is not None:
        places = [on_dial(Fraction(j, N), device.K, device.dial) for j in range(N)]
        step = on_dial(Fraction(1, N), device.K, device.dial)
        move = Move(int(step * device.K), 0, None)
        seconds = _effort(device.K, teeth, DIAL)
        yield Way("dial", at, move, step, of_positions(N, places), teeth, seconds)


def step_over(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Several spaces at a time, so that every tooth is met after as many rounds; only where it beats plain."""
    x = crank_turns(device.K, N)
    if any(fits(x, c) for c in device.circles):
        return
    limit = min((w.errors.neighbour for w in plain(at, device, N, teeth) if w.errors), default=Fraction(1, 2 * N))
    best: Way | None = None
    for p in range(2, min(N // 2, FURTHEST_STEP) + 1):
        if gcd(p, N) > 1:
            continue
        q = pow(p, -1, N)
        hardest = max(q, N - q)
        for C in device.circles:
            holes = p * x * C
            spaces = round(holes)
            if abs(holes - spaces) * hardest >= limit * C * device.K:  # before any fraction is made of it
                continue
            move = on_circle(p * x, C)
            errors = of_equal_moves(N, move.x / device.K, p)
            if errors.neighbour < limit and move.x:
                limit = errors.neighbour
                seconds = _effort(device.K, N, PIN, 0, p)
                best = Way("step_over", at, move, move.x / device.K, errors, N, seconds, p)
    if best is not None:
        yield best


def plate_to_make(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """The circle that is missing; only for a device that takes plates and has none that serves."""
    x = crank_turns(device.K, N)
    if not device.circles or any(fits(x, c) for c in device.circles):
        return
    C = x.denominator * -(-SMALLEST_PLATE // x.denominator)
    if C <= LARGEST_PLATE:
        move = on_circle(x, C)
        assert_closes(device.K, N, move.x, Fraction(0))
        yield Way("plate_to_make", at, move, Fraction(1, N), NONE, teeth, _effort(device.K, teeth, PIN, DRILL_PLATE))


def from_teeth(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """A detent in the ring's own sound teeth; every error of the old tooth goes into the new one undivided."""
    yield Way("from_teeth", at, Move(0, 1, N), Fraction(1, N), None, teeth, MAKE_DETENT + teeth * DETENT)


_SEARCH: dict[str, Callable[[int, Device, int, int], Iterator[Way]]] = {
    f.__name__: f for f in (direct, plain, compound, differential, dial, step_over, plate_to_make, from_teeth)
}
_NEEDLESS_BESIDE_PLAIN = ("compound", "differential")


def within(way: Way, r: float | None, tolerance: float) -> bool:
    """Whether the worst error is inside the tolerance [um] at radius r [mm]; without r only no error at all is."""
    if way.errors is None:
        return False
    if way.errors.worst == 0:
        return True
    return r is not None and arc_um(way.errors.worst, r) <= tolerance


def rank(way: Way, r: float | None, tolerance: float) -> tuple[object, ...]:
    """What decides the order: the ring's own teeth last, then tolerance, effort, error; spaces only among equals."""
    worst = way.errors.worst if way.errors else Fraction(1)
    slow = way.train.ratio if way.train else Fraction(0)
    order = (way.errors is None, not within(way, r, tolerance), way.seconds, worst, slow)
    return (*order, way.move.turns, way.move.holes, way.device)


def search(
    shelf: Sequence[Device],
    N: int,
    methods: Sequence[str] | None = None,
    r: float | None = None,
    tolerance: float = 50.0,
    teeth: int | None = None,
) -> list[Way]:
    """Every way to divide N on the shelf, in order of preference.

    Parameters
    ----------
    shelf : devices
        What there is.
    N : int
        Divisions, 2 to 1000 [-]
    methods : names or None
        Ways to look for; None: all but ``from_teeth``, and neither gears nor two circles where plain is exact.
    r : float or None
        Radius at which the error counts [mm]
    tolerance : float
        Allowed worst error there [um]
    teeth : int or None
        How many teeth are cut; None: all N [-]

    Returns
    -------
    list of Way
        Within tolerance first, then by effort, then by error.
    """
    wanted = [m for m in METHODS if (m in methods if methods is not None else m != "from_teeth")]
    count = N if teeth is None else teeth
    found: list[Way] = []
    for at, device in enumerate(shelf):
        served = any(fits(crank_turns(device.K, N), c) for c in device.circles)
        for method in wanted:
            if method == "from_teeth" and at > 0:
                continue
            if not (methods is None and served and method in _NEEDLESS_BESIDE_PLAIN):
                found.extend(_SEARCH[method](at, device, N, count))
    return sorted(found, key=lambda way: rank(way, r, tolerance))
