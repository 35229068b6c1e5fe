"""Every way to divide that the shelf has, with its errors and its effort, in the order of preference."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice
from math import gcd

from ringwright.dividing.accuracy import NONE, Errors, arc_um, of_equal_moves, of_positions, on_counts, on_dial
from ringwright.dividing.compounds import exact_moves, near_moves
from ringwright.dividing.devices import Device, Train
from ringwright.dividing.settings import Move, assert_closes, crank_turns, fits, on_circle
from ringwright.dividing.trains import compound_settings, simple_settings

METHODS = ("direct", "plain", "compound", "differential", "dial", "counts", "step_over", "plate_to_make", "from_teeth")

#: Seconds of one act at the head, for comparing ways only (common practice, no source).
PIN, CRANK, PLATE_TOO, DIAL, DETENT, NOSE, COUNTS = 6, 2, 8, 12, 10, 5, 8
#: Seconds before the first tooth: hanging the train, its stud, drilling a plate.
HANG_TRAIN, STUD, DRILL_PLATE, MAKE_DETENT = 1200, 600, 14_400, 7200
#: Furthest step-over, in spaces, and the largest plate worth drilling.
FURTHEST_STEP, LARGEST_PLATE, SMALLEST_PLATE = 30, 400, 20


@dataclass(frozen=True, slots=True)
class Way:
    """One way to divide N; ``device`` is the place in the shelf, ``p`` the spaces that one move goes.

    ``step`` is the spindle's turn at one move [turn]; for a dial or a readout it is one step rounded, for show.
    ``errors`` is None when they are those of the ring's own teeth. ``start`` are the holes, as marked, in which pin and
    stop pin begin so that no damaged hole is met.
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
    start: tuple[int, int] = (0, 0)

    @property
    def exact(self) -> bool:
        """Whether every tooth stands where it should, to no error at all."""
        return self.errors is not None and self.errors.worst == 0 and self.errors.closing == 0


def _fits(device: Device, N: int, C: int) -> bool:
    """Whether a circle serves exactly, damaged holes apart."""
    x = crank_turns(device.K, N)
    return fits(x, C) and device.start(C, on_circle(x, C).holes, N) is not None


def _effort(K: Fraction, teeth: int, per_move: int, before: int = 0, rounds: int = 1) -> int:
    return round(before + teeth * per_move + rounds * K * CRANK)


def direct(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Straight on the nose plate, the worm out of mesh; only where its holes are a multiple of N."""
    for D in sorted(set(device.direct)):
        start = device.start(D, D // N, N) if D % N == 0 else None
        if start is not None:
            yield Way("direct", at, Move(0, D // N, D), Fraction(1, N), NONE, teeth, teeth * NOSE, start=(start, 0))


def plain(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Crank and plate; all circles that serve exactly, or else the three nearest settings."""
    x = crank_turns(device.K, N)
    circles = [c for c in device.circles if _fits(device, N, c)]
    if x.denominator == 1:
        circles = circles[:1]
    found = []
    for C in circles or device.circles:
        move = on_circle(x, C)
        start = device.start(C, move.holes, N)
        if move.x == 0 or start is None:
            continue
        errors = of_equal_moves(N, move.x / device.K)
        if 2 * N * abs(errors.closing) >= 1:
            continue  # N moves would not close within half a space: that is a setting for another count
        if circles:
            assert_closes(device.K, N, move.x, Fraction(0))
        seconds = _effort(device.K, teeth, PIN)
        way = Way("plain", at, move, move.x / device.K, errors, teeth, seconds, start=(start, 0))
        found.append((errors.worst, move.holes, way))
    found.sort(key=lambda item: item[:2])
    return (way for *_, way in (found if circles else found[:3]))


def compound(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Two moves on two circles of one plate side: the two exact ones that turn least, or else all that are near.

    Of the near ones, each goes fewer spaces at a time than all that are nearer: nothing better is left out.
    """
    found = exact_moves(device, N)
    for move in islice(found, 2):
        assert_closes(device.K, N, move.worm, Fraction(0))
        yield _compound(at, device, N, teeth, move, 1)
    if not found:
        for p, move in near_moves(device, N):
            yield _compound(at, device, N, N if p > 1 else teeth, move, p)


def _compound(at: int, device: Device, N: int, teeth: int, move: Move, p: int) -> Way:
    assert move.second is not None  # compound moves have two circles
    assert move.circle is not None
    starts = device.start(move.circle, move.holes, N), device.start(move.second[0], move.second[1], N)
    step, seconds = move.worm / device.K, _effort(device.K, teeth, PIN + PLATE_TOO, 0, p)
    errors = of_equal_moves(N, step, p)
    return Way("compound", at, move, step, errors, 2 * teeth, seconds, p, start=(starts[0] or 0, starts[1] or 0))


def differential(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Crank and plate with the plate geared to the spindle; the three slowest plates, compound if no simple train."""
    simple = sorted(simple_settings(device, N), key=lambda s: (s[1].between is None, s[1].ratio, s[1].idlers))
    found = simple[:3]
    if not any(train.between is not None for _, train in found):
        compounds = list(compound_settings(device, N))
        whole = [s for s in compounds if s[1].between is not None]
        found += (whole or ([] if found else compounds))[:1]
    for move, train in found:
        assert_closes(device.K, N, move.x, train.R)
        before = HANG_TRAIN + (STUD if train.compound else 0)
        seconds = _effort(device.K, teeth, PIN, before)
        assert move.circle is not None
        start = device.start(move.circle, move.holes, N) or 0
        yield Way("differential", at, move, Fraction(1, N), NONE, teeth, seconds, train=train, start=(start, 0))


def dial(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Absolute readings of the dial on the worm shaft, each rounded by itself; none where two teeth read alike."""
    if device.dial is not None:
        places = [on_dial(Fraction(j, N), device.K, device.dial) for j in range(N)]
        if not _all_apart(places):
            return
        step = on_dial(Fraction(1, N), device.K, device.dial)
        move = Move(int(step * device.K), 0, None)
        seconds = _effort(device.K, teeth, DIAL)
        yield Way("dial", at, move, step, of_positions(N, places), teeth, seconds)


def _all_apart(places: list[Fraction]) -> bool:
    """Whether no two teeth stand at one place, the end of the turn being its beginning again."""
    return len({place % 1 for place in places}) == len(places)


def counts(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Absolute counts of a readout or encoder, each rounded by itself; none where two teeth read alike."""
    if device.counts is not None:
        places = [on_counts(Fraction(j, N), device.counts) for j in range(N)]
        if not _all_apart(places):
            return
        step = on_counts(Fraction(1, N), device.counts)
        seconds = _effort(device.K, teeth, COUNTS)
        yield Way("counts", at, Move(0, 0, None), step, of_positions(N, places), teeth, seconds)


def step_over(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """Several spaces at a time, so that every tooth is met after as many rounds; only where it beats plain.

    Spaces at a time rise, and each way stands nearer over the whole circle than all before it, the plain ones included.
    """
    circles = device.circles
    if any(_fits(device, N, c) for c in circles):
        return
    nearest = min((w.errors.worst for w in plain(at, device, N, teeth) if w.errors), default=Fraction(1, 2 * N))
    limit = min(nearest / (N - 1), Fraction(1, 2 * N * N)) * device.K
    for p in range(2, min(N // 2, FURTHEST_STEP) + 1):
        best = _nearest_circle(device, circles, N, p, limit) if gcd(p, N) == 1 else None
        if best is not None:
            move, start = best
            errors = of_equal_moves(N, move.x / device.K, p)
            limit = abs(errors.per_move) * device.K
            seconds = _effort(device.K, N, PIN, 0, p)
            yield Way("step_over", at, move, move.x / device.K, errors, N, seconds, p, start=(start, 0))


def _nearest_circle(
    device: Device, circles: tuple[int, ...], N: int, p: int, limit: Fraction
) -> tuple[Move, int] | None:
    """The move and start nearest to p spaces, nearer than the limit [crank turn]; in whole numbers, for speed."""
    top, bottom = device.K.as_integer_ratio()
    under, best = bottom * N, None
    small, large = limit.as_integer_ratio()
    for C in circles:
        over = p * top * C
        spaces = (2 * over + under) // (2 * under)
        off = abs(spaces * under - over)
        if off * large >= small * under * C or not spaces:
            continue
        start = device.start(C, spaces % C, N)
        if start is not None:
            (small, large), best = (off, under * C), (Move(spaces // C, spaces % C, C), start)
    return best


def plate_to_make(at: int, device: Device, N: int, teeth: int) -> Iterator[Way]:
    """The circle that is missing; only for a device that takes plates and has none that serves."""
    x = crank_turns(device.K, N)
    if not device.circles or any(_fits(device, N, c) for c in device.circles):
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
    f.__name__: f for f in (direct, plain, compound, differential, dial, counts, step_over, plate_to_make, from_teeth)
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
    """What decides the order: the ring's own teeth last, then tolerance, effort, error; then idlers, spaces.

    Of exact plain settings the one on the largest circle: the longest arm, where a hole that is off does least.
    """
    worst = way.errors.worst if way.errors else Fraction(1)
    slow = way.train.ratio if way.train else Fraction(0)
    lacks = way.train is not None and way.train.between is None
    order = (way.errors is None, not within(way, r, tolerance), way.seconds, worst, lacks, slow)
    outer = -(way.move.circle or 0) if way.method == "plain" and way.exact else way.move.holes
    return (*order, way.move.turns, outer, way.device)


def _worth_showing(ways: list[Way], r: float | None, tolerance: float) -> list[Way]:
    """Of many near ways of one method the two that rank first, and the one with the least error between neighbours."""
    near = [way for way in ways if way.method in ("compound", "step_over") and way.errors and not way.exact]
    if len(near) < 3:
        return ways
    first = sorted(near, key=lambda way: rank(way, r, tolerance))[:2]
    smooth = min(near, key=lambda way: way.errors.neighbour if way.errors else Fraction(1))
    return first if smooth in first else [*first, smooth]


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
        served = any(_fits(device, N, c) for c in device.circles)
        for method in wanted:
            if method == "from_teeth" and at > 0:
                continue
            if not (methods is None and served and method in _NEEDLESS_BESIDE_PLAIN):
                found.extend(_worth_showing(list(_SEARCH[method](at, device, N, count)), r, tolerance))
    return sorted(found, key=lambda way: rank(way, r, tolerance))
