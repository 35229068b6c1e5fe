"""The ring as a drawing: true to its teeth, its damage drawn as the damage looks. SVG, shared by pages and papers.

Seen on the entry face, tooth 1 on top, counted clockwise; flank "plus" is the clockwise one. Line weights after
ISO 128 (from memory): visible outlines thick, hidden ones dashed, centre lines chain. What is wrong at the far end is
hidden from here and so drawn dashed. Nothing is told by colour alone.

Three views of one ring: `ring_svg` (the whole ring), `glass_svg` (a stretch enlarged, upright), `strip_svg` (unrolled).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from math import acos, cos, pi, sin, tan

from ringwright.words import _

#: Reference radius of the whole ring in drawing units; line widths are in the same units.
RADIUS = 300.0
_RIM = 0.80

#: For a drawing that stands alone (papers): black lines on white. Pages have the same classes in their style sheet.
PAPER_STYLE = """
.vis{fill:none;stroke:#000;stroke-width:1.4;stroke-linejoin:round}
.hid{fill:none;stroke:#000;stroke-width:.7;stroke-dasharray:3 2}
.cl{fill:none;stroke:#000;stroke-width:.45;stroke-dasharray:14 3 2 3}.rim{fill:none;stroke:#000;stroke-width:1}
.hurt{fill:none;stroke:#000;stroke-width:2.4;stroke-linejoin:round}.thin{fill:none;stroke:#000;stroke-width:.7}.crk{fill:none;stroke:#000;stroke-width:1.1}
.dots{fill:none;stroke:#000;stroke-width:1.7;stroke-linecap:round}.hatch{fill:none;stroke:#000;stroke-width:.6}
.stop{fill:none;stroke:#000;stroke-width:2.4}.cur{fill:none;stroke:#000;stroke-width:2.6}.scr{fill:#000}
.done{fill:none;stroke:#000;stroke-width:5;stroke-linecap:round}.hit{display:none}
text{font-family:B612,sans-serif;text-anchor:middle;fill:#000}.n{font-size:15px}.s{font-size:13px}.gn{font-size:20px}
"""


@dataclass(frozen=True, slots=True)
class Form:
    """The tooth form that is drawn; lengths in modules, so that any ring is drawn alike."""

    z: int
    alpha: float = 20 * pi / 180
    x: float = 0.0
    h_a: float = 1.0
    h_f: float = 1.25
    internal: bool = False


@dataclass(frozen=True, slots=True)
class Damage:
    """One thing wrong with a tooth, in the words of the map: condition, flank, end."""

    condition: str
    flank: str = "both"
    end: str = "whole"


@dataclass(frozen=True, slots=True)
class Tooth:
    """How one tooth looks; ``hardness`` 0 (soft or unknown) to 1 (as hard as it gets) is the density of its hatch."""

    damage: tuple[Damage, ...] = ()
    hardness: float | None = None
    done: bool = False


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of teeth marked by hand, both ends included."""

    first: int
    last: int
    kind: str


@dataclass(frozen=True)
class Ring:
    """All that the three views need; ``teeth`` holds only those that differ from a sound tooth.

    ``scriber_between`` and ``done_between``: what is meant is the space behind that tooth, between n and n + 1, as in
    the rows of a round sheet.
    """

    form: Form
    teeth: dict[int, Tooth]
    stretches: tuple[Stretch, ...] = ()
    stops: tuple[int, ...] = ()
    scriber: int | None = None
    label: str = ""
    scriber_between: bool = False
    done_between: bool = False


Point = tuple[float, float]
_SOUND = Tooth()


class _Profile:
    """Half angle of the tooth over the radius, in drawing units with the reference circle at `RADIUS`."""

    def __init__(self, form: Form) -> None:
        self.form = form
        m = 2 * RADIUS / form.z
        sense = -1 if form.internal else 1
        self.module = m
        self.tip = RADIUS + sense * m * (form.h_a + form.x)
        self.root = RADIUS - sense * m * (form.h_f - form.x)
        self.height = abs(self.tip - self.root)
        self.pitch = 2 * pi / form.z
        self._base = RADIUS * cos(form.alpha)
        self._inv = tan(form.alpha) - form.alpha
        self._half = (pi / 2 + 2 * form.x * tan(form.alpha)) / form.z

    def at(self, r: float) -> float:
        """Half the angle that the tooth covers at the radius r, never less than nought."""
        a = acos(min(1.0, self._base / r))
        involute = self._inv - (tan(a) - a)
        return max(0.0, self._half + (-involute if self.form.internal else involute))

    def radius(self, share: float) -> float:
        """Radius at a share of the tooth's height: 0 at the root, 1 at the tip."""
        return self.root + share * (self.tip - self.root)


_SHARES = (0.10, 0.2, 0.32, 0.46, 0.60, 0.74, 0.88, 1.0)


def _sound(p: _Profile, side: int) -> list[Point]:
    """One flank from the root to the tip as (angle, radius); side -1 or +1. The fillet is drawn, not generated."""
    foot = min(p.at(p.radius(0.10)) + 0.14 * p.module / RADIUS, 0.5 * p.pitch)
    return [(side * foot, p.radius(0.0)), *((side * p.at(p.radius(s)), p.radius(s)) for s in _SHARES)]


def _flank(p: _Profile, side: int, conditions: set[str]) -> list[Point]:
    """One flank as it is, from the root to the tip."""
    points = _sound(p, side)
    if "worn" in conditions:
        points = [
            (side * max(0.12 * p.at(RADIUS), abs(a) - _wear(p, r)), r) if i else (a, r)
            for i, (a, r) in enumerate(points)
        ]
    if "chewed" in conditions:
        low = p.radius(0.52)
        rising = [q for q in points if (q[1] - low) * (p.tip - p.root) <= 0]
        width = abs(rising[-1][0])
        points = [
            *rising,
            (side * 0.62 * width, p.radius(0.74)),
            (side * 0.5 * width, p.radius(0.80)),
            (0.0, p.radius(0.9)),
        ]
    return points


def _wear(p: _Profile, r: float) -> float:
    """The drawn inset of a worn flank [rad], most at the middle of the height; drawn to be seen, not to scale."""
    share = (r - p.root) / (p.tip - p.root)
    return 0.20 * p.module / RADIUS * min(1.0, max(0.0, (share - 0.05) / 0.25))


def _outline(p: _Profile, damage: Iterable[Damage]) -> list[Point]:
    """The whole contour of one tooth from the middle of one space to the next, as (angle, radius)."""
    left, right = set[str](), set[str]()
    for d in damage:
        if d.flank in ("both", "minus"):
            left.add(d.condition)
        if d.flank in ("both", "plus"):
            right.add(d.condition)
    ends = (-0.5 * p.pitch, p.root), (0.5 * p.pitch, p.root)
    if "missing" in left | right:
        return [
            ends[0],
            (-0.3 * p.pitch, p.root),
            (-0.1 * p.pitch, p.radius(0.07)),
            (0.12 * p.pitch, p.radius(0.02)),
            ends[1],
        ]
    up, down = _flank(p, -1, left), _flank(p, 1, right)
    top: list[Point] = []
    if "chipped" in left | right:
        at = 0.0 if {"chipped"} <= left & right else (-0.45 if "chipped" in left else 0.45)
        w = p.at(p.radius(0.8))
        top = [
            (w * (at - 0.42), p.radius(0.97)),
            (w * (at - 0.16), p.radius(0.58)),
            (w * (at + 0.10), p.radius(0.66)),
            (w * (at + 0.42), p.radius(0.97)),
        ]
        if at < 0:
            up = [q for q in up if (q[1] - p.radius(0.62)) * (p.tip - p.root) <= 0]
            top = [(w * -0.55, p.radius(0.60)), (w * -0.3, p.radius(0.66)), (w * -0.05, p.radius(1.0))]
        elif at > 0:
            down = [q for q in down if (q[1] - p.radius(0.62)) * (p.tip - p.root) <= 0]
            top = [(w * 0.05, p.radius(1.0)), (w * 0.3, p.radius(0.66)), (w * 0.55, p.radius(0.60))]
    return [ends[0], *up, *top, *reversed(down), ends[1]]


@dataclass
class _Pen:
    """Collects paths by class while the teeth are walked; ``place`` maps (angle in the tooth, radius) to the sheet."""

    p: _Profile
    flat: bool = False

    def __post_init__(self) -> None:
        self.paths: dict[str, list[str]] = {}
        self.contour: list[Point] = []

    def place(self, tooth: int, q: Point) -> Point:
        """A point (angle within the tooth, radius) on the sheet; y runs down."""
        angle, r = (tooth - 1) * self.p.pitch + q[0], q[1]
        return (angle * RADIUS, -r) if self.flat else (r * sin(angle), -r * cos(angle))

    def draw(self, name: str, points: Iterable[Point], close: bool = False) -> None:
        """One line through points of the sheet."""
        self.paths.setdefault(name, []).append(
            "M" + "L".join(f"{x:.2f},{y:.2f}" for x, y in points) + ("Z" if close else "")
        )

    def tooth(self, n: int, look: Tooth) -> None:
        """One tooth: its contour, what is gone in dashes, cracks, weld, hatch."""
        p = self.p
        seen = [d for d in look.damage if d.end != "far"]
        hidden = [d for d in look.damage if d.end == "far"]
        here = [self.place(n, q) for q in _outline(p, seen)]
        self.contour.extend(here)
        if look.damage:
            self.draw("hurt", here[1:-1])
        conditions = {d.condition for d in look.damage}
        if {d.condition for d in seen} & {"worn", "chewed", "chipped", "missing"}:
            self.draw("hid", (self.place(n, q) for q in _outline(p, ())[1:-1]))
        if {d.condition for d in hidden} & {"worn", "chewed", "chipped", "missing"}:
            self.draw("hid", (self.place(n, q) for q in _outline(p, hidden)[1:-1]))
        for d in look.damage:
            if d.condition == "cracked":
                self._crack(n, -1 if d.flank == "minus" else 1)
        if "weld" in conditions:
            self._dots(n)
        if look.hardness is not None:
            self._hatch(n, look.hardness)

    def _crack(self, n: int, side: int) -> None:
        w, p = self.p.at(self.p.radius(0.1)), self.p
        zigzag = [(1.1, 0.06), (0.72, 0.30), (0.50, 0.02), (0.18, 0.26), (-0.08, -0.06), (-0.40, 0.18), (-0.62, -0.02)]
        self.draw("crk", (self.place(n, (side * a * w, p.radius(s))) for a, s in zigzag))

    def _dots(self, n: int) -> None:
        p = self.p
        for share, row in (
            (0.12, (-0.66, -0.2, 0.26, 0.7)),
            (0.34, (-0.45, 0.0, 0.45)),
            (0.56, (-0.62, -0.15, 0.4)),
            (0.8, (-0.35, 0.3)),
        ):
            r = p.radius(share)
            for a in row:
                x, y = self.place(n, (a * p.at(r), r))
                self.paths.setdefault("dots", []).append(f"M{x:.2f},{y:.2f}h.01")

    def _hatch(self, n: int, hardness: float) -> None:
        p = self.p
        lines = 1 + round(5 * min(1.0, max(0.0, hardness)))
        inner = p.root - (1 if not p.form.internal else -1) * 1.3 * p.module
        for i in range(lines):
            a = ((i + 0.5) / lines - 0.5) * p.pitch
            slant = 0.35 * p.pitch
            self.draw("hatch", [self.place(n, (a - slant / 2, inner)), self.place(n, (a + slant / 2, p.root))])

    def svg(self) -> str:
        """All lines so far; the contour last, so that it lies on top."""
        order = ("hatch", "dots", "hid", "thin", "hurt", "crk", "stop")
        return "".join(
            f'<path class="{name}" d="{"".join(self.paths[name])}"/>' for name in order if name in self.paths
        )


def ring_svg(ring: Ring, *, style: str = "") -> str:
    """The whole ring; every tooth has a target with ``data-tooth``. ``style`` goes inside a drawing on its own."""
    p, z = _Profile(ring.form), ring.form.z
    pen = _Pen(p)
    for n in range(1, z + 1):
        pen.tooth(n, ring.teeth.get(n, _SOUND))
    outside = not ring.form.internal
    band = p.root - 2.0 * p.module - 8 if outside else p.root + 2.0 * p.module + 8
    for stretch in ring.stretches:
        _mark_stretch(pen, stretch, band, z)
    rim = min(_RIM * RADIUS, band - 14) if outside else max(1.16 * RADIUS, band + 14)
    side = max(p.tip, p.root, RADIUS if outside else rim) + 38
    parts = [f'<circle class="cl" r="{RADIUS}"/>', f'<circle class="rim" r="{rim:.1f}"/>']
    parts += _done_dots(pen, ring, p.root - (9 if outside else -9))
    parts.append(pen.svg())
    parts.append(f'<path class="vis" d="M{_joined(pen.contour)}Z"/>')
    numbers = (p.tip + 17) if outside else (rim + 17)
    for n in _numbered(z):
        x, y = pen.place(n, (0.0, numbers))
        parts.append(f'<text class="n" x="{x:.1f}" y="{y + 5:.1f}">{n}</text>')
    inner = (rim - 3) if outside else p.tip - 12
    for n in ring.stops:
        parts.append(
            f'<path class="stop" d="M{_joined([pen.place(n, (0.0, inner)), pen.place(n, (0.0, inner - 22))])}"/>'
        )
        x, y = pen.place(n, (0.0, inner - 40))
        parts.append(f'<text class="s" x="{x:.1f}" y="{y + 4:.1f}">{escape(_("stops"))}</text>')
    if ring.scriber is not None:
        parts.append(_cursor(pen, ring, ring.scriber))
        parts.append(_scriber(pen, ring.scriber, _aside(p, ring.scriber_between), 30 if outside else -30, 8.0))
    parts += [_target(pen, n, p) for n in range(1, z + 1)]
    return _sheet(ring.label, (-side, -side, 2 * side, 2 * side), parts, "ring", style)


def glass_svg(ring: Ring, middle: int, each_side: int = 3, *, style: str = "") -> str:
    """The stretch around a tooth enlarged and upright, with every tooth numbered."""
    p, z = _Profile(ring.form), ring.form.z
    each_side = min(each_side, (z - 1) // 2)
    scale = 86.0 / (p.pitch * RADIUS)
    turned = _Turned(p, middle + (0.5 if ring.scriber_between else 0.0), scale)
    beside = range(-each_side - 1, each_side + (3 if ring.scriber_between else 2))
    shown = [(middle - 1 + k) % z + 1 for k in beside]
    for k, n in zip(beside, shown):
        turned.tooth(middle + k, ring.teeth.get(n, _SOUND))
    width, tall = 86.0 * (2 * each_side + 1), p.height * scale
    sag = RADIUS * (1 - cos(p.pitch * (each_side + 0.5))) * scale
    above, below = 78.0, min(sag, 90) + 46 + tall
    off = _aside(p, ring.scriber_between)
    centre = [turned.place(middle, (off + a * p.pitch * (each_side + 1) / 12, RADIUS)) for a in range(-12, 13)]
    parts = [
        f'<path class="cl" d="M{_joined(centre)}"/>',
        turned.svg(),
        f'<path class="vis" d="M{_joined(turned.contour)}"/>',
    ]
    over = max(p.tip, p.root)
    for k, n in zip(beside, shown):
        x, y = turned.place(middle + k, (0.0, over + 16 / scale))
        if abs(x) < width / 2 - 14:  # no number is cut in two by the edge
            parts.append(f'<text class="{"gn here" if k == 0 else "gn"}" x="{x:.1f}" y="{y:.1f}">{n}</text>')
        if ring.teeth.get(n, _SOUND).done:
            x, y = turned.place(middle + k, (_aside(p, ring.done_between), min(p.tip, p.root) - 20 / scale))
            parts.append(f'<path class="done" d="M{x:.1f},{y:.1f}h.01"/>')
        if n in ring.stops:
            low = min(p.tip, p.root)
            a, b = turned.place(middle + k, (0.0, low - 8 / scale)), turned.place(middle + k, (0.0, low - 26 / scale))
            parts.append(
                f'<path class="stop" d="M{_joined([a, b])}"/>'
                f'<text class="s" x="{b[0]:.1f}" y="{b[1] + 15:.1f}">{escape(_("stops"))}</text>'
            )
    parts.append(_cursor(turned, ring, middle))
    parts.append(_needle(0.0, -(over - RADIUS) * scale - 40, 34.0, 9.0))
    parts += [_target_box(turned, middle + k, n, p) for k, n in zip(beside, shown)]
    top = (over - RADIUS) * scale + above
    return _sheet(ring.label, (-width / 2, -top, width, top + below), parts, "glass", style)


def strip_svg(ring: Ring, tooth_width: float = 48.0, *, style: str = "") -> str:
    """The ring unrolled into a straight strip, ``tooth_width`` units a tooth, tooth 1 at the left."""
    p, z = _Profile(ring.form), ring.form.z
    scale = tooth_width / (p.pitch * RADIUS)
    pen = _Flat(p, scale)
    for n in range(1, z + 1):
        pen.tooth(n, ring.teeth.get(n, _SOUND))
    over, under = max(p.tip, p.root), min(p.tip, p.root)
    top, foot = (over - RADIUS) * scale + 62, (RADIUS - under) * scale + 44
    for stretch in ring.stretches:
        _mark_stretch(pen, stretch, under - 12 / scale, z)
    parts = [
        f'<path class="cl" d="M{-tooth_width / 2},0H{tooth_width * (z - 0.5)}"/>',
        pen.svg(),
        f'<path class="vis" d="M{_joined(pen.contour)}"/>',
    ]
    for n in range(1, z + 1):
        x, y = pen.place(n, (0.0, over + 12 / scale))
        parts.append(f'<text class="gn" x="{x:.1f}" y="{y:.1f}">{n}</text>')
        if ring.teeth.get(n, _SOUND).done:
            at, _y = pen.place(n, (_aside(p, ring.done_between), RADIUS))
            parts.append(f'<path class="done" d="M{at:.1f},{(RADIUS - under) * scale + 16:.1f}h.01"/>')
        if n in ring.stops:
            base = (RADIUS - under) * scale
            parts.append(
                f'<path class="stop" d="M{x:.1f},{base + 8:.1f}v14"/>'
                f'<text class="s" x="{x:.1f}" y="{base + 36:.1f}">{escape(_("stops"))}</text>'
            )
    if ring.scriber is not None:
        x, _y = pen.place(ring.scriber, (_aside(p, ring.scriber_between), RADIUS))
        parts.append(_cursor(pen, ring, ring.scriber))
        parts.append(_needle(x, -(over - RADIUS) * scale - 34, 26.0, 8.0))
    for n in range(1, z + 1):
        x, _y = pen.place(n, (0.0, RADIUS))
        parts.append(
            f'<rect class="hit" data-tooth="{n}" x="{x - tooth_width / 2:.1f}" y="{-top:.1f}" '
            f'width="{tooth_width:.1f}" height="{top + foot:.1f}"/>'
        )
    return _sheet(ring.label, (-tooth_width / 2, -top, tooth_width * z, top + foot), parts, "strip", style, size=True)


class _Turned(_Pen):
    """A pen for the glass: turned so that one tooth, or the space behind it, stands upright at the origin, enlarged."""

    def __init__(self, p: _Profile, middle: float, scale: float) -> None:
        super().__init__(p)
        self.middle, self.scale = middle, scale

    def place(self, tooth: int, q: Point) -> Point:
        angle = (tooth - self.middle) * self.p.pitch + q[0]
        return q[1] * sin(angle) * self.scale, (RADIUS - q[1] * cos(angle)) * self.scale


class _Flat(_Pen):
    """A pen for the strip."""

    def __init__(self, p: _Profile, scale: float) -> None:
        super().__init__(p, flat=True)
        self.scale = scale

    def place(self, tooth: int, q: Point) -> Point:
        return ((tooth - 1) * self.p.pitch + q[0]) * RADIUS * self.scale, (RADIUS - q[1]) * self.scale


def _joined(points: Sequence[Point]) -> str:
    return "L".join(f"{x:.2f},{y:.2f}" for x, y in points)


def _numbered(z: int) -> Iterator[int]:
    """Tooth 1 and every tenth; every fiftieth on very fine rings; none so near the end that it runs into 1."""
    step = 1 if z <= 24 else 10 if z <= 250 else 50
    last = z - step // 2 if step > 1 else z
    yield 1
    yield from (n for n in range(step if step > 1 else 2, last + 1, step))


def _mark_stretch(pen: _Pen, stretch: Stretch, band: float, z: int) -> None:
    count = (stretch.last - stretch.first) % z + 1
    name = {"weld": "dots", "hard": "thin", "soft": "thin"}.get(stretch.kind, "thin")
    per_tooth = {"weld": 3, "hard": 4, "soft": 1}.get(stretch.kind, 1)
    half = 3.0 if not isinstance(pen, _Flat) else 3.0 / pen.scale
    for k in range(count):
        for i in range(per_tooth):
            a = ((i + 0.5) / per_tooth - 0.5) * pen.p.pitch
            n = (stretch.first - 1 + k) % z + 1
            if name == "dots":
                x, y = pen.place(n, (a, band))
                pen.paths.setdefault("dots", []).append(f"M{x:.2f},{y:.2f}h.01")
            else:
                pen.draw("thin", [pen.place(n, (a, band - half)), pen.place(n, (a, band + half))])


def _done_dots(pen: _Pen, ring: Ring, r: float) -> list[str]:
    places = [pen.place(n, (_aside(pen.p, ring.done_between), r)) for n, look in ring.teeth.items() if look.done]
    return [f'<path class="done" d="{"".join(f"M{x:.1f},{y:.1f}h.01" for x, y in places)}"/>'] if places else []


def _aside(p: _Profile, between: bool) -> float:
    """Angle from a tooth's middle to what is meant: nought, or half a pitch to the space behind it."""
    return p.pitch / 2 if between else 0.0


def _cursor(pen: _Pen, ring: Ring, n: int) -> str:
    """The outline of tooth n, or of the space behind it."""
    if not ring.scriber_between:
        damage = ring.teeth.get(n, _SOUND).damage
        points = [pen.place(n, q) for q in _outline(pen.p, [d for d in damage if d.end != "far"])[1:-1]]
        return f'<path class="cur" d="M{_joined(points)}Z"/>'
    behind = n % ring.form.z + 1
    down = [pen.place(n, q) for q in reversed(_flank(pen.p, 1, _seen_at(ring, n, "plus")))]
    up = [pen.place(n + 1, q) for q in _flank(pen.p, -1, _seen_at(ring, behind, "minus"))]
    return f'<path class="cur" d="M{_joined([*down, *up])}Z"/>'


def _seen_at(ring: Ring, n: int, flank: str) -> set[str]:
    """What is wrong with one flank of a tooth, as seen from here."""
    damage = ring.teeth.get(n, _SOUND).damage
    return {d.condition for d in damage if d.end != "far" and d.flank in ("both", flank)}


def _scriber(pen: _Pen, n: int, off: float, reach: float, half: float) -> str:
    """The scriber: a fine point at the tooth, or ``off`` it, its shank outside."""
    p = pen.p
    start, end = p.tip + reach * 0.16, p.tip + reach * 1.25
    a = half / (2 * RADIUS)
    points = [
        pen.place(n, (off, start)),
        pen.place(n, (off + a, start + reach * 0.42)),
        pen.place(n, (off + a, end)),
        pen.place(n, (off - a, end)),
        pen.place(n, (off - a, start + reach * 0.42)),
    ]
    return f'<path class="scr" d="M{_joined(points)}Z"/>'


def _needle(x: float, y: float, length: float, width: float) -> str:
    """The scriber upright, its point at (x, y)."""
    h = width / 2
    return (
        f'<path class="scr" d="M{x:.1f},{y:.1f}L{x + h:.1f},{y - length * 0.4:.1f}V{y - length:.1f}'
        f'H{x - h:.1f}V{y - length * 0.4:.1f}Z"/>'
    )


def _target(pen: _Pen, n: int, p: _Profile) -> str:
    """What a finger or pointer can hit: the whole pitch from the rim band to beyond the tip."""
    low, high = min(p.tip, p.root) - 26, max(p.tip, p.root) + 26
    half = p.pitch / 2
    corners = [pen.place(n, q) for q in ((-half, low), (-half, high), (half, high), (half, low))]
    return f'<path class="hit" data-tooth="{n}" d="M{_joined(corners)}Z"/>'


def _target_box(pen: _Turned, at: int, n: int, p: _Profile) -> str:
    low, high = min(p.tip, p.root) - 40 / pen.scale, max(p.tip, p.root) + 40 / pen.scale
    half = p.pitch / 2
    corners = [pen.place(n, q) for q in ((-half, low), (-half, high), (half, high), (half, low))]
    return f'<path class="hit" data-tooth="{n}" d="M{_joined(corners)}Z"/>'


def _sheet(
    label: str, box: tuple[float, float, float, float], parts: Iterable[str], name: str, style: str, size: bool = False
) -> str:
    view = " ".join(f"{v:.1f}" for v in box)
    measure = f' width="{box[2]:.0f}" height="{box[3]:.0f}"' if size else ""
    inside = f"<style>{style}</style>" if style else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{name}" viewBox="{view}"{measure} role="img" '
        f'aria-label="{escape(label, quote=True)}">{inside}{"".join(parts)}</svg>'
    )
