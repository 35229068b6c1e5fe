"""What gear it is as drawn: its diameters, pitches and thicknesses, and what a micrometer and pins should read."""

from __future__ import annotations

from math import cos, degrees, isfinite, radians, sin
from typing import Annotated

from pydantic import Field

from ringwright.errors import Refusal
from ringwright.gears import cutters, measures, touch
from ringwright.gears.involute import inv
from ringwright.gears.ring import RingGeometry, is_undercut, rack_tip
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Given, Millimetres, Note, Operation, WorkingLine
from ringwright.reckon.ring import Ring
from ringwright.words import N_, _

phrases.learn(
    "tooth_has_no_thickness",
    N_("Profile shift and allowance together leave a tooth of {value} at the reference circle."),
    N_("More than {low} and less than one pitch, {high}."),
    N_("Look at profile_shift and thickness_allowance_mm."),
)
phrases.learn(
    "tip_beyond_root",
    N_("The tip circle, {value}, lies on the wrong side of the root circle, {root}."),
    N_("External: tip larger than root. Internal: tip smaller than root."),
    N_("Look at the two diameters and at kind."),
)
phrases.learn(
    "external_only",
    N_("This is reckoned for external rings only."),
    N_("kind “external”."),
    N_("Leave this measure out for an internal ring."),
)
phrases.learn(
    "spur_only",
    N_("This is reckoned for straight teeth only."),
    N_("helix_angle_deg 0."),
    N_("Leave this measure out for a helical ring."),
)
phrases.learn(
    "rack_pointed",
    N_("No cutter with these flanks reaches so deep: they meet above the root."),
    N_("A smaller dedendum, a smaller pressure angle or more allowance."),
    N_("Look at dedendum_coef, root_diameter_mm and pressure_angle_deg."),
)
phrases.learn(
    "tooth_pointed",
    N_("The two flanks meet below the tip circle, {value}."),
    N_("A tip circle on which the tooth still has a land."),
    N_("Give the real tip_diameter_mm, or look at profile_shift."),
)
phrases.learn(
    "no_flank",
    N_("The tip circle, {value}, leaves no involute above the root fillet."),
    N_("More than {low}."),
    N_("Look at tip_diameter_mm."),
)

#: Core symbols of a ring -> field of RING, for the ``came_from`` of every operation that has a ring.
_FIELDS = {
    "z": Came("teeth"),
    "m_n": Came("module_mm", "mm"),
    "alpha_n": Came("pressure_angle_deg", "deg"),
    "beta": Came("helix_angle_deg", "deg"),
    "x": Came("profile_shift"),
    "h_a": Came("addendum_coef"),
    "h_f": Came("dedendum_coef"),
    "rho_f": Came("root_radius_coef"),
    "allowance": Came("thickness_allowance_mm", "mm"),
    "s_n": Came("thickness_allowance_mm", "mm"),
    "d_a": Came("tip_diameter_mm", "mm"),
    "d_f": Came("root_diameter_mm", "mm"),
    "kind": Came("kind"),
}


def ring_came(path: str = "ring") -> dict[str, Came]:
    """Where the core symbols of a ring came from, for a RING that stands at ``path`` in the request."""
    return {symbol: Came(f"{path}.{came.path}", came.unit) for symbol, came in _FIELDS.items()}


def core_ring(ring: Ring) -> RingGeometry:
    """The ring of a request in core units: mm, radians, right hand positive.

    Raises
    ------
    Refusal
        As `RingGeometry`; `ring_came` says which field was meant.
    """
    return RingGeometry(
        kind=ring.kind,
        z=ring.teeth,
        m_n=ring.m_n,
        alpha_n=radians(ring.pressure_angle_deg),
        beta=radians(ring.helix_angle_deg) * (-1 if ring.hand == "left" else 1),
        x=ring.profile_shift,
        h_a=ring.addendum_coef,
        h_f=ring.dedendum_coef,
        rho_f=ring.root_radius_coef,
        allowance=ring.thickness_allowance_mm,
        d_a_given=ring.tip_diameter_mm,
        d_f_given=ring.root_diameter_mm,
    )


_DEFAULTS = {
    "pressure_angle_deg": N_("Pressure angle not given: {value}° taken."),
    "helix_angle_deg": N_("Helix angle not given: straight teeth taken."),
    "profile_shift": N_("Profile shift not given: {value} taken."),
    "addendum_coef": N_("Addendum not given: {value} module taken."),
    "dedendum_coef": N_("Dedendum not given: {value} module taken."),
    "root_radius_coef": N_("Root radius not given: {value} module taken."),
    "thickness_allowance_mm": N_("Thickness allowance not given: none taken off."),
}


def ring_notes(ring: Ring) -> list[Note]:
    """One note for each default that stood in for a field, and for a diameter that replaced a reckoned one."""
    notes = [
        Note(code="default_used", text=_(text, value=f"{getattr(ring, name):g}"))
        for name, text in _DEFAULTS.items()
        if name not in ring.model_fields_set
    ]
    if ring.tip_diameter_mm is not None:
        notes.append(Note(code="tip_diameter_given", text=_("The tip diameter given replaces the reckoned one.")))
    if ring.root_diameter_mm is not None:
        notes.append(Note(code="root_diameter_given", text=_("The root diameter given replaces the reckoned one.")))
    return notes


class GearAsked(Asked):
    """Which ring, and optionally over how many teeth and with which pins."""

    ring: Ring
    span_teeth: Annotated[int, Field(ge=2, le=500)] | None = None
    pin_diameter_mm: Annotated[Millimetres, Field(gt=0, le=500)] | None = None


class SpanGiven(Given):
    """Base tangent length."""

    teeth: int
    length_mm: float
    contact_diameter_mm: float


class PinsGiven(Given):
    """Dimension over pins (external) or between pins (internal); the other one is null."""

    diameter_mm: float
    over_mm: float | None
    between_mm: float | None
    contact_diameter_mm: float


class ChordalGiven(Given):
    """Tooth caliper: width at the reference circle and depth from the tip."""

    thickness_mm: float
    height_mm: float


class FormCutterGiven(Given):
    """Involute form cutter: number and tooth counts; a null end means up to a rack."""

    number: str
    range: tuple[int, int | None]


class GearAnswered(Answered):
    """The ring's geometry and what its measures should read."""

    reference_diameter_mm: float
    base_diameter_mm: float
    tip_diameter_mm: float
    root_diameter_mm: float
    whole_depth_mm: float
    circular_pitch_mm: float
    base_pitch_mm: float
    tooth_thickness_mm: float
    tip_thickness_mm: float | None
    transverse_circular_pitch_mm: float
    transverse_base_pitch_mm: float
    transverse_tooth_thickness_mm: float
    transverse_tip_thickness_mm: float | None
    span: SpanGiven | None
    pins: PinsGiven | None
    chordal: ChordalGiven | None
    form_cutter: FormCutterGiven | None


_WHY_NOT = {
    "span_internal": N_("No span: a micrometer cannot span the teeth of an internal ring."),
    "span_off_flank": N_(
        "No span: the anvils would touch on {contact} mm, and the flank runs from {low} to {high} mm."
    ),
    "pin_none": N_("No pins: no pin touches the flanks of this ring between fillet and tip."),
    "pin_off_flank": N_("No pins: a pin of {pin} mm does not touch the flank, which runs from {low} to {high} mm."),
    "pin_below_tip": N_("No pins: a pin of {pin} mm reaches {reach} mm only and the tip circle, {tip} mm, hides it."),
    "pin_on_root": N_("No pins: a pin of {pin} mm would sit on the root circle, {root} mm."),
}


def _why_not(none: touch.NoMeasure) -> Note:
    return Note(code=none.code, text=_(_WHY_NOT[none.code], **{k: f"{v:.6g}" for k, v in none.facts.items()}))


def gear(asked: GearAsked) -> GearAnswered:
    """Diameters, pitches, thicknesses and measures of a ring true to drawing."""
    ring = core_ring(asked.ring)
    notes = ring_notes(asked.ring)
    s_a, s_an = float(ring.s_y(ring.d_a)), float(ring.s_yn(ring.d_a))
    notes += _shape_notes(ring, s_a)
    found_span, found_pins = touch.span(ring, asked.span_teeth), touch.pins(ring, asked.pin_diameter_mm)
    notes += [_why_not(found) for found in (found_span, found_pins) if isinstance(found, touch.NoMeasure)]
    notes += _measure_notes(ring, asked, found_span, found_pins)
    chordal = _chordal(ring, s_a, notes)
    cutter = _form_cutter(ring, notes)
    land = isfinite(s_a) and s_a > 0
    return GearAnswered(
        reference_diameter_mm=ring.d,
        base_diameter_mm=ring.d_b,
        tip_diameter_mm=ring.d_a,
        root_diameter_mm=ring.d_f,
        whole_depth_mm=ring.h,
        circular_pitch_mm=ring.p_n,
        base_pitch_mm=ring.p_bn,
        tooth_thickness_mm=ring.s_n,
        tip_thickness_mm=s_an if land else None,
        transverse_circular_pitch_mm=ring.p_t,
        transverse_base_pitch_mm=ring.p_bt,
        transverse_tooth_thickness_mm=ring.s_t,
        transverse_tip_thickness_mm=s_a if land else None,
        span=_span_given(found_span),
        pins=_pins_given(ring, found_pins),
        chordal=chordal,
        form_cutter=cutter,
        notes=tuple(notes),
        sources=("iso-21771", "elements-metric-gears-tables", "handbook-half-number-cutters"),
        working=_working(ring, found_span, found_pins, chordal) if asked.working else None,
    )


def _span_given(found: touch.Span | touch.NoMeasure) -> SpanGiven | None:
    if isinstance(found, touch.NoMeasure):
        return None
    return SpanGiven(teeth=found.k, length_mm=found.W_k, contact_diameter_mm=found.d_M)


def _pins_given(ring: RingGeometry, found: touch.Pins | touch.NoMeasure) -> PinsGiven | None:
    if isinstance(found, touch.NoMeasure):
        return None
    over, between = (found.M_dK, None) if ring.s > 0 else (None, found.M_dK)
    return PinsGiven(diameter_mm=found.D_M, over_mm=over, between_mm=between, contact_diameter_mm=found.d_M)


def _shape_notes(ring: RingGeometry, s_a: float) -> list[Note]:
    notes = []
    if not isfinite(s_a):
        text = _("No tip thickness: the tip circle lies inside the base circle, where there is no involute.")
        notes.append(Note(code="tip_inside_base", text=text))
    elif s_a <= 0:
        text = _("No tip thickness: the two flanks meet below the tip circle. The real tip must be turned down.")
        notes.append(Note(code="tooth_pointed", text=text))
    if ring.kind == "internal":
        text = _("Where the flank ends at the root depends on the cutter that made it; the root circle was taken.")
        notes.append(Note(code="internal_fillet_unknown", text=text))
        return notes
    try:
        rounded = rack_tip(ring).rho
    except Refusal:
        text = _("No rack with these flanks reaches to the root circle; the root circle was taken as the flank's end.")
        return [*notes, Note(code="rack_pointed", text=text)]
    if rounded < ring.rho_f * ring.m_n - 1e-9:
        text = _("The root radius finds no room: {rho} mm, the largest that does, was taken.", rho=f"{rounded:.3f}")
        notes.append(Note(code="root_radius_reduced", text=text))
    if is_undercut(ring):
        text = _("A rack cutter undercuts this tooth; the flank ends where the fillet crosses it.")
        notes.append(Note(code="undercut", text=text))
    return notes


def _measure_notes(
    ring: RingGeometry, asked: GearAsked, span: touch.Span | touch.NoMeasure, pins: touch.Pins | touch.NoMeasure
) -> list[Note]:
    notes = []
    if isinstance(span, touch.Span):
        if asked.span_teeth is None:
            text = _("Span over {k} teeth chosen: its contact is nearest d + 2 x m.", k=span.k)
            notes.append(Note(code="span_chosen", text=text))
        if ring.beta:
            need = span.W_k * abs(sin(ring.beta_b))
            text = _("The span of a helical ring needs a face wider than {need} mm.", need=f"{need:.1f}")
            notes.append(Note(code="span_needs_face", text=text))
    if isinstance(pins, touch.Pins):
        if asked.pin_diameter_mm is None:
            text = _("Pin of {pin} mm chosen: its contact is nearest d + 2 x m.", pin=f"{pins.D_M:.2f}")
            notes.append(Note(code="pin_chosen", text=text))
        if ring.beta and (ring.kind == "internal" or ring.z % 2):
            text = _("Use balls, both in one plane square to the axis: straight pins do not lie so here.")
            notes.append(Note(code="balls_not_pins", text=text))
    return notes


def _chordal(ring: RingGeometry, s_a: float, notes: list[Note]) -> ChordalGiven | None:
    low, high = touch.flank_range(ring)
    if not low < ring.d < high:
        text = _("No tooth caliper reading: the reference circle does not cut the flank.")
        notes.append(Note(code="chordal_off_flank", text=text))
        return None
    if ring.kind == "internal" and not isfinite(s_a):
        text = _("No tooth caliper reading: the corners of the tip, inside the base circle, are not known.")
        notes.append(Note(code="chordal_tip_unknown", text=text))
        return None
    thickness = float(measures.chordal_thickness(ring.s_n, ring.z, ring.m_n, ring.beta))
    if ring.kind == "external":
        height = float(measures.chordal_height(ring.s_n, ring.z, ring.m_n, (ring.d_a - ring.d) / 2, ring.beta))
    else:
        height = float(measures.chordal_height_internal(ring.s_n, ring.z, ring.m_n, ring.d_a, max(s_a, 0.0), ring.beta))
    return ChordalGiven(thickness_mm=thickness, height_mm=height)


def _form_cutter(ring: RingGeometry, notes: list[Note]) -> FormCutterGiven | None:
    if ring.kind == "internal":
        text = _("No form cutter: the numbered cutters are for external rings.")
        notes.append(Note(code="form_cutter_internal", text=text))
        return None
    cutter, of_eight = cutters.form_cutter(ring.z_v), cutters.form_cutter(ring.z_v, "form_cutters_eight")
    if cutter is None or of_eight is None:
        text = _("No form cutter: the numbered sets begin at 12 teeth.")
        notes.append(Note(code="form_cutter_too_few", text=text))
        return None
    text = _(
        "Form cutter by the set of fifteen; in the set of eight it is No. {eight}. Many metric sets are numbered the "
        "other way round: go by the tooth range engraved on the cutter.",
        eight=of_eight.number,
    )
    notes.append(Note(code="form_cutter_numbering", text=text))
    if abs(ring.z_v - cutter.low) > 1e-9:
        text = _(
            "A form cutter is true for {low} teeth; this ring’s flanks come out a little too curved.", low=cutter.low
        )
        notes.append(Note(code="form_cutter_off_count", text=text))
    if ring.x or ring.h_a != 1.0:
        text = _("A form cutter has one depth and no profile shift: it does not make this tooth form truly.")
        notes.append(Note(code="form_cutter_wrong_form", text=text))
    return FormCutterGiven(number=cutter.number, range=(cutter.low, cutter.high))


def _working(
    ring: RingGeometry,
    span: touch.Span | touch.NoMeasure,
    pins: touch.Pins | touch.NoMeasure,
    chordal: ChordalGiven | None,
) -> tuple[WorkingLine, ...]:
    """The sums with their numbers put in."""
    z, m, a, b, x = ring.z, f"{ring.m_n:.6g}", f"{degrees(ring.alpha_n):.6g}°", f"{degrees(ring.beta):.6g}°", ring.x_E
    s, iso = ("+" if ring.s > 0 else "-"), "iso-21771"
    a_t, cos_b = f"{degrees(ring.alpha_t):.6g}°", cos(ring.beta)
    inv_t = float(inv(ring.alpha_t))
    sums = [
        ("d", _("reference diameter"), "z m_n / cos β", f"{z} · {m} / cos {b}", ring.d, "mm"),
        ("α_t", _("transverse pressure angle"), "arctan(tan α_n / cos β)", f"arctan(tan {a} / {cos_b:.6f})",
         degrees(ring.alpha_t), "°"),
        ("d_b", _("base diameter"), "d cos α_t", f"{ring.d:.6f} · cos {a_t}", ring.d_b, "mm"),
    ]  # fmt: skip
    if ring.d_a_given is None:
        put_in = f"{ring.d:.6f} {s} 2 · {m} ({ring.h_a:g} + {ring.x:g})"
        sums.append(("d_a", _("tip diameter"), f"d {s} 2 m_n (h_a* + x)", put_in, ring.d_a, "mm"))
    if ring.d_f_given is None:
        t = "-" if ring.s > 0 else "+"
        put_in = f"{ring.d:.6f} {t} 2 · {m} ({ring.h_f:g} - {ring.x:g})"
        sums.append(("d_f", _("root diameter"), f"d {t} 2 m_n (h_f* - x)", put_in, ring.d_f, "mm"))
    sums += [
        ("p_bn", _("base pitch, normal"), "π m_n cos α_n", f"π · {m} · cos {a}", ring.p_bn, "mm"),
        ("s_n", _("tooth thickness, normal arc"), "m_n (π/2 + 2 x tan α_n) - A_sn",
         f"{m} (π/2 + 2 · {ring.x:g} · tan {a}) - {ring.allowance:g}", ring.s_n, "mm"),
    ]  # fmt: skip
    if ring.allowance:
        put_in = f"{ring.x:g} - {ring.allowance:g} / (2 · {m} · tan {a})"
        sums.append(("x_E", _("shift that gives this thickness"), "x - A_sn / (2 m_n tan α_n)", put_in, x, ""))
    if isinstance(span, touch.Span):
        put_in = f"{m} [cos {a} (π ({span.k} - 0.5) + {z} · {inv_t:.9f}) + 2 · {x:.6g} · sin {a}]"
        formula = "m_n [cos α_n (π (k - 0.5) + z inv α_t) + 2 x_E sin α_n]"
        sums.append(("W_k", _("base tangent length"), formula, put_in, span.W_k, "mm"))
        put_in = f"√({ring.d_b:.6f}² + ({span.W_k:.6f} · cos {degrees(ring.beta_b):.6g}°)²)"
        sums.append(("d_M", _("circle the anvils touch"), "√(d_b² + (W_k cos β_b)²)", put_in, span.d_M, "mm"))
    if isinstance(pins, touch.Pins):
        alpha_K = float(measures.pin_pressure_angle(ring.kind, pins.D_M, z, ring.m_n, ring.alpha_n, ring.beta, x))
        inv_K = float(inv(alpha_K))
        put_in = f"{inv_t:.9f} {s} ({pins.D_M:g} / ({z} · {m} · cos {a}) - π / (2 · {z}) + 2 · {x:.6g} · tan {a} / {z})"
        formula = f"inv α_t {s} (D_M / (z m_n cos α_n) - π / (2 z) + 2 x_E tan α_n / z)"
        sums.append(("inv α_K", _("at the pin’s centre"), formula, put_in, inv_K, ""))
        odd = "" if z % 2 == 0 else f" cos(90°/{z})"
        put_in = f"{ring.d_b:.6f} / cos {degrees(alpha_K):.6f}°{' ·' if odd else ''}{odd} {s} {pins.D_M:g}"
        formula = f"d_b / cos α_K{' · cos(90°/z)' if odd else ''} {s} D_M"
        name = _("dimension over pins") if ring.s > 0 else _("dimension between pins")
        sums.append(("M_dK", name, formula, put_in, pins.M_dK, "mm"))
    lines = [
        WorkingLine(symbol=sy, name=n, formula=f, put_in=p, value=float(v), unit=u, source=iso)
        for sy, n, f, p, v, u in sums
    ]
    if chordal is not None:
        d_v = ring.z_v * ring.m_n
        lines.append(
            WorkingLine(
                symbol="s_c",
                name=_("chordal thickness"),
                formula="z_v m_n sin(s_n / (z_v m_n))",
                put_in=f"{d_v:.6f} sin({ring.s_n:.6f} / {d_v:.6f})",
                value=chordal.thickness_mm,
                unit="mm",
                source="elements-metric-gears-tables",
            )
        )
    return tuple(lines)


GEAR = Operation(
    name="gear",
    purpose=N_("Diameters, pitches, thicknesses and measures of a ring true to drawing."),
    asked=GearAsked,
    answered=GearAnswered,
    do=gear,
    came_from={**ring_came(), "k": Came("span_teeth"), "D_M": Came("pin_diameter_mm", "mm")},
)
