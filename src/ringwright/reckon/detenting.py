"""Indexing from the ring's own sound teeth: where the detent sits, what it carries over, which teeth it may use."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, inf, pi, radians, sqrt

from ringwright.dividing import detent as core
from ringwright.dividing import detent_errors, detent_places
from ringwright.dividing.detent import Round, Seat, Space, Wedge
from ringwright.dividing.detent_errors import Carried, Old
from ringwright.dividing.detent_places import Joint, Setting
from ringwright.errors import Refusal
from ringwright.gears.ring import RingGeometry
from ringwright.reckon import detent_words as words
from ringwright.reckon.base import Came, Note, Operation, WorkingLine
from ringwright.reckon.detent_models import (
    PAWL_DEPTH,
    BestSize,
    CarriedOver,
    DetentAnswer,
    DetentAsked,
    DetentRequest,
    DetentTaken,
    JointFound,
    RowFound,
    SeatFound,
    SettingFound,
    Totals,
)
from ringwright.reckon.ring import Ring
from ringwright.words import N_

ARCSEC = 648_000 / pi


@dataclass(frozen=True, slots=True)
class _Made:
    """Everything that the answer is written from."""

    ring: RingGeometry
    space: Space
    shape: Round | Wedge
    at: Seat
    fresh: Seat
    side: int


def detent(asked: DetentRequest) -> DetentAnswer:
    """A detent in the ring's own teeth: seat, errors carried over, teeth that may be used."""
    ring = core_ring(asked.ring)
    side = (1 if asked.detent.bears_on == "plus" else -1) if asked.detent.shape == "pawl" else 0
    w = asked.worn.plus_mm, asked.worn.minus_mm
    space = Space(ring, (w[0] + w[1]) / 2 if side == 0 else w[0] if side > 0 else w[1])
    shape, depth = _shape(asked.detent, space)
    at = _seat(space, shape, depth)
    made = _Made(ring, space, shape, at, _seat(Space(ring), shape, depth), side)
    good, found, cannot = _places(asked, side)
    away = asked.teeth_away if asked.teeth_away is not None else (found[0].k if found else asked.least_away)
    over = _carried(asked, made, away)
    rows = _rows(asked, found, over)
    return DetentAnswer(
        detent=_taken(asked.detent, shape, depth),
        seat=_seat_found(made),
        best=_best(asked.detent, space, depth),
        carried=tuple(_lines(over, ring)),
        totals=_totals(over, ring),
        teeth_away=away,
        detent_at_deg=360 * away / ring.z,
        settings=tuple(_setting(asked, made, one) for one in found),
        cannot=cannot,
        not_to_use=tuple(n + 1 for n, ok in enumerate(good) if not ok),
        rows=rows,
        joints=tuple(_joints(asked, rows)),
        says=words.says(_touches(made), away, ring.z, _totals(over, ring).place_um),
        notes=tuple(_notes(asked, made, found, cannot)),
        sources=("iso-21771", "own-arithmetic", "common-practice"),
        working=_working(asked, made, over, away) if asked.working else None,
    )


def core_ring(ring: Ring) -> RingGeometry:
    """The ring as the core takes it."""
    return RingGeometry(
        ring.kind,
        ring.teeth,
        ring.m_n,
        radians(ring.pressure_angle_deg),
        radians(ring.helix_angle_deg),
        ring.profile_shift,
        ring.addendum_coef,
        ring.dedendum_coef,
        ring.root_radius_coef,
        ring.thickness_allowance_mm,
        ring.tip_diameter_mm,
        ring.root_diameter_mm,
    )


def _shape(asked: DetentAsked, space: Space) -> tuple[Round | Wedge, float | None]:
    """The shape, best sizes put in where none were given; the depth of a pawl's nose below the tips."""
    ring = space.ring
    if asked.shape in ("ball", "pin"):
        return Round(asked.diameter_mm if asked.diameter_mm is not None else core.best_round(space)), None
    if asked.shape == "wedge":
        half = radians(asked.included_angle_deg / 2) if asked.included_angle_deg is not None else core.best_wedge(space)
        if half is None:
            raise Refusal("no_best_in_internal", "half")
        nose = asked.nose_mm if asked.nose_mm is not None else core.best_nose(space, half)
        return Wedge(half, nose, asked.body_mm if asked.body_mm is not None else inf), None
    depth = asked.depth_mm if asked.depth_mm is not None else PAWL_DEPTH * ring.h
    if depth >= ring.h:
        raise Refusal("pawl_on_root", "depth", depth, 0, ring.h)
    Y, nose = ring.d_a / 2 - ring.s * depth, asked.nose_mm or 0.0
    face = radians(asked.face_angle_deg) if asked.face_angle_deg is not None else core.best_face(space, Y, nose)
    if face is None:
        raise Refusal("no_best_in_internal" if ring.s < 0 else "no_best_face", "half")
    return Wedge(face, nose), depth


def _seat(space: Space, shape: Round | Wedge, depth: float | None) -> Seat:
    if depth is None:
        return core.seat(space, shape)
    assert isinstance(shape, Wedge)  # only a pawl stands at a depth of its own
    return core.seat_pawl(space, shape, space.ring.d_a / 2 - space.ring.s * depth)


def _taken(asked: DetentAsked, shape: Round | Wedge, depth: float | None) -> DetentTaken:
    wedge = shape if isinstance(shape, Wedge) else None
    pawl = asked.shape == "pawl"
    return DetentTaken(
        shape=asked.shape,
        diameter_mm=shape.D if isinstance(shape, Round) else None,
        included_angle_deg=degrees(2 * wedge.half) if wedge and not pawl else None,
        nose_mm=wedge.nose if wedge else None,
        face_angle_deg=degrees(wedge.half) if wedge and pawl else None,
        depth_mm=depth,
        bears_on=asked.bears_on if pawl else None,
    )


def _touches(made: _Made) -> str:
    if made.at.touches == "flank":
        if made.at.on_nose:
            return "nose_corners"
        return {0: "both_flanks", 1: "plus_flank", -1: "minus_flank"}[made.side]
    return made.at.touches


def _seat_found(made: _Made) -> SeatFound:
    ring, at = made.ring, made.at
    low, high = made.space.flank_ends()
    touches = _touches(made)
    loose = 0.0 if made.side or at.touches == "flank" else core.looseness(made.space, made.shape, at)
    clearance = ring.s * (at.Y - ring.d_f / 2)
    return SeatFound(
        touches=touches,
        holds=touches in ("both_flanks", "plus_flank", "minus_flank"),
        contact_diameter_mm=2 * at.r,
        contact_below_tip_mm=ring.s * (ring.d_a / 2 - at.r),
        contact_beside_mm=(made.side or 1) * at.x,
        to_flank_end_at_tip_mm=ring.s * (high - at.r),
        to_flank_end_at_root_mm=ring.s * (at.r - low),
        depth_mm=ring.s * (ring.d_a / 2 - at.Y),
        nose_diameter_mm=2 * at.Y,
        root_clearance_mm=clearance,
        slope_deg=degrees(at.slope),
        loose_um=None if loose == inf else loose * ring.d / 2 * 1000,
        drops_mm=ring.s * (made.fresh.Y - at.Y),
        turned_um=(made.side or 1) * at.turn * ring.d / 2 * 1000,
        says=words.seat(touches, clearance, degrees(at.slope)),
    )


def _best(asked: DetentAsked, space: Space, depth: float | None) -> BestSize | None:
    ring = space.ring
    sizes: dict[str, float | None] = dict.fromkeys(("diameter_mm", "included_angle_deg", "nose_mm", "face_angle_deg"))
    if asked.shape in ("ball", "pin"):
        shape: Round | Wedge = Round(core.best_round(space))
        sizes["diameter_mm"] = core.best_round(space)
    elif asked.shape == "wedge":
        half = core.best_wedge(space)
        if half is None:
            return None
        shape = Wedge(half, core.best_nose(space, half))
        sizes |= {"included_angle_deg": degrees(2 * half), "nose_mm": shape.nose}
    else:
        assert depth is not None  # a pawl has one
        face = core.best_face(space, ring.d_a / 2 - ring.s * depth, asked.nose_mm or 0.0)
        if face is None:
            return None
        shape = Wedge(face, asked.nose_mm or 0.0)
        sizes["face_angle_deg"] = degrees(face)
    at = _seat(space, shape, depth)
    clear = ring.s * (at.Y - ring.d_f / 2)
    return BestSize(
        **sizes,
        contact_diameter_mm=2 * at.r,
        root_clearance_mm=clear,
        says=words.best(asked.shape, sizes, clear),
    )


def _carried(asked: DetentRequest, made: _Made, away: int) -> Carried:
    old = Old(
        asked.worn.plus_mm,
        asked.worn.minus_mm,
        asked.pitch_error_um / 1000,
        asked.eccentricity_mm,
        2 * pi * away / made.ring.z,
        asked.slide_play_mm,
        asked.repeat_um / 1000,
    )
    return detent_errors.carried(made.space, made.at, old, made.side)


def _lines(over: Carried, ring: RingGeometry) -> Iterator[CarriedOver]:
    for what, how, mm in (
        ("worn_flanks", "steady", over.bias),
        ("pitch_errors", "either_way", over.pitch),
        ("run_out", "swing", over.run_out),
        ("slide_play", "either_way", over.play),
        ("seating", "scatter", over.sigma),
    ):
        turned = mm / (ring.d / 2) * ARCSEC
        yield CarriedOver(what=what, how=how, um=mm * 1000, arcsec=turned, says=words.carried(what))


def _totals(over: Carried, ring: RingGeometry) -> Totals:
    return Totals(
        place_um=over.place * 1000,
        neighbour_um=over.neighbour(ring.z) * 1000,
        joint_um=over.seam * 1000,
        on_plate_um=over.by_plate * 1000,
        scatter_um=over.sigma * 1000,
    )


def _places(asked: DetentRequest, side: int) -> tuple[tuple[bool, ...], tuple[Setting, ...], tuple[int, ...]]:
    """Spaces that may be used, settings of the detent, spaces that none serves."""
    z = asked.ring.teeth
    for name, teeth in (("cut", asked.cut), ("damaged", asked.damaged), ("measured", _measured_spaces(asked))):
        for i, n in enumerate(teeth):
            if n > z or n in teeth[:i]:
                raise Refusal("no_such_tooth" if n > z else "named_twice", name, n, 1, z, at=(i,))
    good = detent_places.usable(z, asked.damaged, asked.cut, side=side, cut_spoils=asked.cut_spoils)
    flags = tuple(bool(ok) for ok in good)
    if asked.teeth_away is None:
        return flags, *detent_places.settings(z, good, asked.cut, asked.least_away)
    if asked.teeth_away % z == 0:
        raise Refusal("detent_at_cutter", "teeth_away", asked.teeth_away)
    bad = detent_places.clashes(z, good, asked.cut, asked.teeth_away)
    served = tuple(n for n in asked.cut if n not in bad)
    return flags, ((Setting(asked.teeth_away, served),) if served else ()), bad


def _measured_spaces(asked: DetentRequest) -> tuple[int, ...]:
    return tuple(m.space for m in asked.measured)


def _setting(asked: DetentRequest, made: _Made, one: Setting) -> SettingFound:
    over = _carried(asked, made, one.k)
    return SettingFound(
        teeth_away=one.k, detent_at_deg=360 * one.k / made.ring.z, cut=one.cut, run_out_um=over.run_out * 1000
    )


def _rows(asked: DetentRequest, found: tuple[Setting, ...], over: Carried) -> tuple[RowFound, ...]:
    z, old = asked.ring.teeth, {m.space: m.um for m in asked.measured}
    rows = []
    for one in found:
        for n in one.cut:
            at = detent_places.sits_in(z, n, one.k)
            new = old[at] + over.bias * 1000 if at in old else None
            rows.append(RowFound(space=n, detent_in=at, teeth_away=one.k, new_um=new))
    return tuple(sorted(rows, key=lambda row: asked.cut.index(row.space)))


def _joints(asked: DetentRequest, rows: tuple[RowFound, ...]) -> Iterator[JointFound]:
    new = {r.space: r.new_um for r in rows if r.new_um is not None}
    old = {m.space: m.um for m in asked.measured if m.space not in asked.cut}
    for run in detent_places.runs(asked.ring.teeth, asked.cut):
        joint: Joint | None = detent_places.joint(asked.ring.teeth, run, new, old)
        if joint is not None:
            yield JointFound(
                first=joint.first,
                last=joint.last,
                at_first_um=joint.at_first,
                at_last_um=joint.at_last,
                move_run_um=joint.share,
                spread_um=joint.spread,
            )


def _notes(asked: DetentRequest, made: _Made, found: tuple[Setting, ...], cannot: tuple[int, ...]) -> Iterator[Note]:
    given, sizes = asked.model_fields_set, asked.detent.model_fields_set
    if sizes <= {"shape", "bears_on"}:
        yield Note(code="default_size", text=words.note("default_size"))
    if asked.detent.shape == "pawl" and asked.detent.depth_mm is None:
        yield Note(code="default_depth", text=words.note("default_depth"))
    if asked.detent.shape == "pawl" and "bears_on" not in sizes:
        yield Note(code="default_bears_on", text=words.note("default_bears_on"))
    for field in ("worn", "pitch_error_um", "eccentricity_mm", "slide_play_mm"):
        if field not in given:
            yield Note(code=f"no_{field.split('_')[0]}", text=words.note(field))
    if asked.teeth_away is None and "least_away" not in given:
        yield Note(code="default_least_away", text=words.note("least_away", n=asked.least_away))
    if not asked.cut and asked.teeth_away is None:
        yield Note(code="no_cut", text=words.note("no_cut", n=asked.least_away))
    touches = _touches(made)
    if touches in words.WARNINGS:
        yield Note(code=f"touches_{touches}", text=words.warning(touches))
    if made.at.touches == "flank" and degrees(made.at.slope) < 12 and not made.side:
        yield Note(code="steep", text=words.note("steep"))
    if made.ring.s < 0:
        yield Note(code="internal_root", text=words.note("internal_root"))
    if asked.worn.plus_mm != asked.worn.minus_mm and not made.side:
        yield Note(code="one_side_worn", text=words.note("one_side_worn"))
    if len(found) > 1:
        yield Note(code="several_settings", text=words.note("several_settings", n=len(found)))
    if cannot:
        yield Note(code="cannot", text=words.note("cannot", spaces=", ".join(map(str, cannot[:12]))))
    sigma, steady = detent_errors.walked(asked.repeat_um, asked.slide_play_mm * 500, max(1, len(asked.cut)))
    yield Note(code="do_not_walk", text=words.walking(len(asked.cut), sigma, steady))
    yield Note(code="phase_only", text=words.note("phase_only", share=f"{1 / sqrt(8):.2f}"))
    yield Note(code="plane_section", text=words.note("plane_section"))


def _working(asked: DetentRequest, made: _Made, over: Carried, away: int) -> tuple[WorkingLine, ...]:
    ring, at = made.ring, made.at
    alpha = degrees(ring.alpha_t)
    lines = [
        (
            "t",
            words.name("t"),
            "(w₊ - w₋)/(2 cos α)" if not made.side else "w/cos α",
            (
                f"({asked.worn.plus_mm:g} - {asked.worn.minus_mm:g})/(2 cos {alpha:g}°)"
                if not made.side
                else f"{made.space.w:g}/cos {alpha:g}°"
            ),
            over.bias,
            "mm",
        ),
        (
            "E",
            words.name("E"),
            "e |q exp(-iψ) - 1|",
            f"{asked.eccentricity_mm:g}·|q·exp(-i·{360 * away / ring.z:.3f}°) - 1|",
            over.run_out,
            "mm",
        ),
        ("r_c", words.name("r_c"), "", f"s·Y = max (s·y - u(x)), Y = {at.Y:.4f}", at.r, "mm"),
    ]
    return tuple(
        WorkingLine(symbol=s, name=n, formula=f, put_in=p, value=v, unit=u, source="own-arithmetic")
        for s, n, f, p, v, u in lines
    )


DETENT = Operation(
    "detent",
    N_("Index from the ring's own teeth: where a detent sits and what it carries over"),
    DetentRequest,
    DetentAnswer,
    detent,
    {
        "D": Came("detent.diameter_mm", "mm"),
        "half": Came("detent"),
        "nose": Came("detent.nose_mm", "mm"),
        "body": Came("detent.body_mm", "mm"),
        "depth": Came("detent.depth_mm", "mm"),
        "Y": Came("detent.depth_mm", "mm"),
        "w": Came("worn", "mm"),
        "cut": Came("cut[{0}]"),
        "damaged": Came("damaged[{0}]"),
        "measured": Came("measured[{0}].space"),
        "teeth_away": Came("teeth_away"),
        "beta": Came("ring.helix_angle_deg", "deg"),
        "kind": Came("ring.kind"),
        "z": Came("ring.teeth"),
        "m_n": Came("ring", "mm"),
        "alpha_n": Came("ring.pressure_angle_deg", "deg"),
        "x": Came("ring.profile_shift"),
        "h_a": Came("ring.addendum_coef"),
        "h_f": Came("ring.dedendum_coef"),
        "rho_f": Came("ring.root_radius_coef"),
        "s_n": Came("ring", "mm"),
        "allowance": Came("ring.thickness_allowance_mm", "mm"),
        "d_a": Came("ring.tip_diameter_mm", "mm"),
        "d_f": Came("ring.root_diameter_mm", "mm"),
        "z_0": Came("ring"),
    },
)
