"""A ring and its mate in mesh: centres, contact, backlash said by its name, clearances, interference, the lead-in."""

from __future__ import annotations

from fractions import Fraction
from math import cos, degrees, isfinite, sin, tan

from ringwright.errors import Refusal
from ringwright.gears import backlash as play
from ringwright.gears import interference, mesh
from ringwright.gears.mesh import Pair
from ringwright.gears.ring import RingGeometry, is_undercut
from ringwright.reckon.base import Came, Note, Operation, WorkingLine, exact
from ringwright.reckon.measuring import ring_came, ring_notes
from ringwright.reckon.meshing_entry import lead_in_asked, lead_in_working
from ringwright.reckon.meshing_models import (
    BacklashGiven,
    InternalGiven,
    MeshAnswered,
    MeshAsked,
    OtherMate,
    Ratios,
    Recommended,
    Room,
    Side,
)
from ringwright.reckon.meshing_notes import mesh_notes
from ringwright.reckon.meshing_pair import Meshed, meshed
from ringwright.words import N_, _


def run(asked: MeshAsked) -> MeshAnswered:
    """All that a pair in mesh has to show."""
    m = meshed(asked)
    pair, a_w = m.pair, m.a_w
    found = play.backlash(pair, a_w)
    ratios, b = _ratios(asked, m)
    ring, mate = _sides(m, found)
    internal = _internal(m) if pair.s < 0 else None
    recommended = play.advice(pair, a_w, asked.use)
    ring_core, mate_core = (pair.pinion, pair.ring) if m.swapped else (pair.ring, pair.pinion)
    lead_in, entry_notes = None, list[Note]()
    lead_working: tuple[WorkingLine, ...] = ()
    if asked.entry is not None:
        faces = (asked.ring.face_width_mm, asked.mate.face_width_mm)
        lead_in, entry_notes = lead_in_asked(asked.entry, ring_core, mate_core, faces)
        lead_working = lead_in_working(asked.entry, lead_in, ring_core.p_t)
    answer = MeshAnswered(
        kind="external" if pair.s > 0 else "internal",
        ratio=exact(Fraction(ring_core.z, mate_core.z)),
        hunting=Fraction(ring_core.z, mate_core.z).denominator == mate_core.z,
        centre_distance_mm=a_w,
        reference_centre_distance_mm=pair.a,
        tight_centre_distance_mm=_known(play.tight_centre_distance(pair)),
        working_angle_deg=degrees(mesh.working_angle(pair, a_w)),
        base_pitch_error_um=1000 * pair.pitch_error * (-1 if m.swapped else 1),
        contact_ratio=ratios,
        backlash=BacklashGiven(circumferential_mm=found.j_wt, normal_mm=found.j_bn, radial_mm=_known(found.j_r)),
        ring=ring,
        mate=mate,
        internal=internal,
        recommended=tuple(_recommended(one) for one in recommended),
        room=_room(asked, pair, found.j_bn),
        mate_for_least_backlash=_other_mate(mate_core, found.j_bn, asked.mate_thickness_lost_mm, recommended),
        lead_in=lead_in,
        runs=_runs(ratios, found, ring, mate, internal),
        sources=(
            "iso-21771",
            *dict.fromkeys(one.source for one in recommended),
            *(("common-practice",) if lead_in is not None else ()),
        ),
        working=(*_working(m, found), *lead_working) if asked.working else None,
    )
    notes = [*ring_notes(asked.ring), *_mate_notes(asked), *mesh_notes(asked, answer, b), *entry_notes]
    return answer.model_copy(update={"notes": tuple(notes)})


def _known(value: float) -> float | None:
    return value if isfinite(value) else None


def _mate_notes(asked: MeshAsked) -> list[Note]:
    return [Note(code=note.code, text=_("Mate: {text}", text=note.text)) for note in ring_notes(asked.mate)]


def _ratios(asked: MeshAsked, m: Meshed) -> tuple[Ratios, float | None]:
    """Contact ratios and the common face width [mm]."""
    p_bt = m.pair.pinion.p_bt
    transverse = m.path.in_contact / p_bt
    faces = [face for face in (asked.ring.face_width_mm, asked.mate.face_width_mm) if face is not None]
    b = min(faces) if faces else None
    overlap = 0.0 if m.pair.pinion.beta == 0 else None if b is None else mesh.overlap_ratio(m.pair, b)
    return Ratios(
        transverse=transverse,
        transverse_by_tips=m.path.between_tips / p_bt,
        overlap=overlap,
        total=None if overlap is None else transverse + overlap,
    ), b


def _sides(m: Meshed, found: play.Backlash) -> tuple[Side, Side]:
    """The request's ring and mate."""
    pair, path = m.pair, m.path
    radii = mesh.working_radii(pair, m.a_w)
    clear = mesh.clearances(pair, m.a_w)
    roots = interference.root_contacts(pair, path)
    touches = path.in_contact > 0
    near_1 = mesh.sliding(pair, path, path.start)
    near_2 = mesh.sliding(pair, path, path.end)
    pinion = _side(
        pair.pinion, radii[0], roots[0], clear[0], found.turn_pinion,
        (path.start, path.end) if touches else None, (near_1[0], near_2[0]),
    )  # fmt: skip
    ring = _side(
        pair.ring, radii[1], roots[1], clear[1], found.turn_ring,
        (path.from_ring(path.end), path.from_ring(path.start)) if touches else None, (near_2[1], near_1[1]),
    )  # fmt: skip
    return (pinion, ring) if m.swapped else (ring, pinion)


def _side(
    gear: RingGeometry,
    radius: float,
    root: interference.RootContact,
    clear: float,
    turn: float,
    ends: tuple[float, float] | None,
    sliding: tuple[float, float],
) -> Side:
    external = gear.kind == "external"
    try:
        undercut = is_undercut(gear) if external else None
    except Refusal:  # no rack cuts this root
        undercut = None
    return Side(
        working_diameter_mm=2 * radius,
        contact_from_mm=2 * mesh.radius_at(gear, ends[0]) if ends else None,
        contact_to_mm=2 * mesh.radius_at(gear, ends[1]) if ends else None,
        form_diameter_mm=root.d_form,
        flank_missing_mm=max(0.0, root.missing),
        tip_meets_fillet=root.missing > 0 and not undercut,
        tip_clearance_mm=clear,
        sliding_near_root=_known(sliding[0]) if ends else None,
        sliding_near_tip=_known(sliding[1]) if ends else None,
        undercut=undercut,
        least_profile_shift=mesh.least_shift(gear) if external else None,
        backlash_turn_deg=degrees(turn),
    )


def _internal(m: Meshed) -> InternalGiven:
    found = interference.internal_tests(m.pair, m.path, m.a_w)
    radial = _known(found.radial)
    return InternalGiven(
        involute_mm=found.involute,
        tips_mm=_known(found.tips),
        radial_mm=radial,
        goes_in_radially=None if radial is None else radial >= 0,
    )


def _recommended(one: play.Advice) -> Recommended:
    return Recommended(
        by=one.by, normal_low_mm=one.low, normal_high_mm=_known(one.high), covers=one.covers, source=one.source
    )


def _room(asked: MeshAsked, pair: Pair, j_bn: float) -> Room | None:
    limit = asked.normal_backlash_limit_mm
    if limit is None:
        return None
    thickness = max(0.0, play.thickness_for(limit - j_bn, pair.ring.alpha_n))
    depth = play.depth_for(thickness, pair.ring.alpha_n)
    return Room(limit_normal_mm=limit, thickness_mm=thickness, recut_depth_mm=depth)


def _other_mate(mate: RingGeometry, j_bn: float, lost: float, recommended: tuple[play.Advice, ...]) -> OtherMate | None:
    """The new mate whose shift brings the backlash to the least recommended; None where that is no gear."""
    wanted = recommended[0].low
    thicker = play.thickness_for(j_bn - wanted, mate.alpha_n) - lost  # a new one has lost nothing
    x = mate.x + thicker / (2 * mate.m_n * tan(mate.alpha_n))
    if not -2 <= x <= 2:
        return None
    tip = mate.d_a + mate.s * 2 * mate.m_n * (x - mate.x)
    return OtherMate(for_normal_backlash_mm=wanted, profile_shift=x, tip_diameter_mm=tip)


def _runs(ratios: Ratios, found: play.Backlash, ring: Side, mate: Side, internal: InternalGiven | None) -> bool:
    total = ratios.transverse if ratios.total is None else ratios.total
    clear = min(ring.tip_clearance_mm, mate.tip_clearance_mm) > 0
    free = internal is None or (internal.involute_mm >= 0 and (internal.tips_mm is None or internal.tips_mm >= 0))
    whole = not (ring.tip_meets_fillet or mate.tip_meets_fillet)
    return total >= 1 and found.j_wt > -1e-9 and clear and free and whole


def _working(m: Meshed, found: play.Backlash) -> tuple[WorkingLine, ...]:
    """The sums with their numbers put in."""
    pair, path, a_w, s = m.pair, m.path, m.a_w, "+" if m.pair.s > 0 else "-"
    alpha = mesh.working_angle(pair, a_w)
    d_1, d_2 = pair.pinion, pair.ring
    angle, p_bt = f"{degrees(alpha):.6f}°", d_1.p_bt
    psi_1, psi_2 = mesh.thickness_angle(d_1, pair.lost_pinion), mesh.thickness_angle(d_2, pair.lost_ring)
    sign = "" if pair.s > 0 else "-"
    sums = [
        ("a", _("reference centre distance"), f"(d_2 {s} d_1) / 2", f"({d_2.d:.6f} {s} {d_1.d:.6f}) / 2", pair.a, "mm"),
        ("α_wt", _("working angle"), f"arccos((d_b2 {s} d_b1) / (2 a_w))",
         f"arccos(({d_2.d_b:.6f} {s} {d_1.d_b:.6f}) / (2 · {a_w:.6f}))", degrees(alpha), "°"),
        ("ε_α", _("transverse contact ratio"), "(g_end - g_start) / p_bt",
         f"({path.end:.6f} - {path.start:.6f}) / {p_bt:.6f}", path.in_contact / p_bt, ""),
        ("inv α_tight", _("working angle of the tight mesh"), f"(z_1 ψ_1 + z_2 ψ_2 - π) / (z_1 {s} z_2)",
         f"({d_1.z} · {psi_1:.9f} + {d_2.z} · {psi_2:.9f} - π) / ({d_1.z} {s} {d_2.z})", pair.inv_tight, ""),
        ("j_wt", _("circumferential backlash"), "± 2 a_w (inv α_wt - inv α_tight)",
         f"{sign}2 · {a_w:.6f} ({tan(alpha) - alpha:.9f} - {pair.inv_tight:.9f})", found.j_wt, "mm"),
        ("j_bn", _("normal backlash"), "j_wt cos α_wt cos β_b",
         f"{found.j_wt:.6f} · cos {angle} · {cos(d_1.beta_b):.6f}", found.j_bn, "mm"),
        ("T_1T_2", _("between the base tangent points"), "a_w sin α_wt", f"{a_w:.6f} · sin {angle}",
         a_w * sin(alpha), "mm"),
    ]  # fmt: skip
    if isfinite(found.j_r):
        tight = play.tight_centre_distance(pair)
        sums.append(("j_r", _("radial backlash"), "± (a_w - a_tight)", f"{a_w:.6f} - {tight:.6f}", found.j_r, "mm"))
    return tuple(
        WorkingLine(symbol=sy, name=n, formula=f, put_in=p, value=v, unit=u, source="iso-21771")
        for sy, n, f, p, v, u in sums
    )


MESH = Operation(
    name="mesh",
    purpose=N_("A ring and its mate in mesh: contact, backlash, clearances, interference, and the lead-in asked for."),
    asked=MeshAsked,
    answered=MeshAnswered,
    do=run,
    came_from={
        **ring_came("ring"),
        **{f"mate.{symbol}": came for symbol, came in ring_came("mate").items()},
        "a_w": Came("centre_distance_mm", "mm"),
        "j": Came("backlash.mm", "mm"),
        "h_K.ring": Came("ring_tip_chamfer_mm", "mm"),
        "h_K.mate": Came("mate_tip_chamfer_mm", "mm"),
        "lost.ring": Came("ring_thickness_lost_mm", "mm"),
        "lost.mate": Came("mate_thickness_lost_mm", "mm"),
        "land_ring": Came("entry.ring_end_land_mm", "mm"),
        "land_pinion": Came("entry.mate_end_land_mm", "mm"),
    },
)
