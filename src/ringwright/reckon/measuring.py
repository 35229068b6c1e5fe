"""What gear it is as drawn: its diameters, pitches and thicknesses, and what a micrometer and pins should read."""

from __future__ import annotations

from dataclasses import replace
from math import cos, degrees, isfinite, radians
from typing import Any

from ringwright.errors import Refusal
from ringwright.gears import caliper, cutters, form_cutter, measures, shaper, touch
from ringwright.gears.involute import inv
from ringwright.gears.outline import tooth_outline
from ringwright.gears.ring import RingGeometry
from ringwright.gears.root import generated_root
from ringwright.gears.shaper import ShaperCutter
from ringwright.reckon import gear_notes
from ringwright.reckon import gear_phrases as gear_phrases  # its words are learnt by loading it
from ringwright.reckon.base import Came, Note, Operation, WorkingLine
from ringwright.reckon.gear_models import (
    ChordalGiven,
    ChordGiven,
    FormCutterGiven,
    GearAnswered,
    GearAsked,
    OutlineGiven,
    PinsGiven,
    RootGiven,
    ShapeErrorGiven,
    SpanGiven,
    UsualPinsGiven,
)
from ringwright.reckon.ring import Ring
from ringwright.words import N_, _

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


def gear(asked: GearAsked) -> GearAnswered:
    """Diameters, pitches, thicknesses and measures of a ring true to drawing."""
    ring = replace(core_ring(asked.ring), h_K=asked.tip_chamfer_mm or 0.0)
    notes = ring_notes(asked.ring)
    s_a, s_an = float(ring.s_y(ring.d_a)), float(ring.s_yn(ring.d_a))
    land = isfinite(s_a) and s_a > 0
    if land and ring.h_K >= s_a / 2:
        raise Refusal("chamfer_too_wide", "h_K", ring.h_K, 0, s_a / 2)
    cutter = _shaper(ring, asked)
    notes += gear_notes.tip_notes(asked, s_a)
    if ring.kind == "external":
        notes += gear_notes.rack_notes(ring)
    else:
        notes += gear_notes.shaper_notes(ring, cutter, asked.shaper is not None)
    span, pins = touch.span(ring, asked.span_teeth, asked.ring.face_width_mm), _pins(ring, asked, cutter)
    notes += gear_notes.measure_notes(ring, asked, span, pins)
    chordal, constant = _chordal(ring, s_a, cutter, notes), _constant(ring, s_a, cutter, notes)
    by_number, of_eight = _form_cutters(ring, notes)
    usual = tuple(
        UsualPinsGiven(name=one.name, source=one.source, **_pins_given(ring, one.reads))
        for one in touch.usual_pins(ring, cutter)
    )
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
        tip_form_diameter_mm=ring.d_Fa,
        transverse_tip_land_mm=s_a - 2 * ring.h_K if land else None,
        transverse_pressure_angle_deg=degrees(ring.alpha_t),
        base_helix_angle_deg=degrees(abs(ring.beta_b)),
        lead_mm=ring.p_z if ring.beta else None,
        virtual_teeth=ring.z_v,
        root=_root(ring, cutter),
        span=_span_given(ring, span),
        spans=tuple(given for k in touch.spans(ring) if (given := _span_given(ring, k))),
        pins=PinsGiven(**_pins_given(ring, pins)) if isinstance(pins, touch.Pins) else None,
        pin_range_mm=touch.pin_range(ring, cutter),
        usual_pins=usual,
        chordal=chordal,
        chordal_at=_chordal_at(ring, asked, cutter),
        constant_chord=constant,
        form_cutter=by_number,
        form_cutter_of_eight=of_eight,
        outline=_outline(ring, asked, cutter),
        notes=tuple(notes),
        sources=_sources(constant, usual),
        working=_working(ring, span, pins, chordal, constant) if asked.working else None,
    )


def _sources(constant: ChordGiven | None, usual: tuple[UsualPinsGiven, ...]) -> tuple[str, ...]:
    always = ("iso-21771", "elements-metric-gears-tables", "handbook-half-number-cutters")
    chord = ("handbook-constant-chord",) if constant else ()
    return (*always, *chord, *dict.fromkeys(pin.source for pin in usual))


def _shaper(ring: RingGeometry, asked: GearAsked) -> ShaperCutter | None:
    """The cutter of an internal ring, given or usual; None when no usual one makes the ring."""
    if asked.shaper is not None:
        given = asked.shaper
        cutter = ShaperCutter(given.teeth, given.tip_radius_coef, given.profile_shift)
        shaper.setting(ring, cutter)
        return cutter
    if ring.kind == "external":
        return None
    try:
        cutter = shaper.usual_cutter(ring)
        shaper.setting(ring, cutter)
    except Refusal:
        return None
    return cutter


def _root(ring: RingGeometry, cutter: ShaperCutter | None) -> RootGiven | None:
    if ring.kind == "internal" and cutter is None:
        return None
    try:
        made = generated_root(ring, cutter)
    except Refusal:
        return None
    return RootGiven(
        made_by="rack" if cutter is None else "shaper",
        shaper_teeth=cutter.z_0 if cutter else None,
        form_diameter_mm=made.d_Ff,
        corner_radius_mm=made.rho,
        undercut=made.undercut,
    )


def _pins(ring: RingGeometry, asked: GearAsked, cutter: ShaperCutter | None) -> touch.Pins | touch.NoMeasure:
    if asked.pin_diameter_mm is None and asked.own_pins_mm:
        return touch.best_of(ring, asked.own_pins_mm, cutter)
    return touch.pins(ring, asked.pin_diameter_mm, cutter)


def _span_given(ring: RingGeometry, found: touch.Span | touch.NoMeasure) -> SpanGiven | None:
    if isinstance(found, touch.NoMeasure):
        return None
    face = found.b_k if ring.beta else None
    return SpanGiven(teeth=found.k, length_mm=found.W_k, contact_diameter_mm=found.d_M, needs_face_mm=face)


def _pins_given(ring: RingGeometry, found: touch.Pins) -> dict[str, Any]:
    return {
        "diameter_mm": found.D_M,
        "over_mm": found.M_dK if ring.s > 0 else None,
        "between_mm": found.M_dK if ring.s < 0 else None,
        "contact_diameter_mm": found.d_M,
        "use": "balls" if gear_notes.balls_only(ring) else "pins",
    }


def _chordal(ring: RingGeometry, s_a: float, cutter: ShaperCutter | None, notes: list[Note]) -> ChordalGiven | None:
    low, high = touch.flank_range(ring, cutter)
    if not low < ring.d < high:
        text = _("No tooth caliper reading: the reference circle does not cut the flank.")
        notes.append(Note(code="chordal_off_flank", text=text))
        return None
    if ring.kind == "internal" and not isfinite(s_a):
        text = _("No tooth caliper reading: the corners of the tip, inside the base circle, are not known.")
        notes.append(Note(code="chordal_tip_unknown", text=text))
        return None
    chord = caliper.chordal_at(ring, ring.d, cutter)
    return ChordalGiven(thickness_mm=chord.s_c, height_mm=chord.h_c)


def _constant(ring: RingGeometry, s_a: float, cutter: ShaperCutter | None, notes: list[Note]) -> ChordGiven | None:
    if ring.kind == "internal" and not isfinite(s_a):
        return None
    chord = caliper.constant_chord(ring, cutter)
    if isinstance(chord, touch.NoMeasure):
        notes.append(gear_notes.why_not(chord))
        return None
    return ChordGiven(thickness_mm=chord.s_c, height_mm=chord.h_c, contact_diameter_mm=chord.d_y)


def _chordal_at(ring: RingGeometry, asked: GearAsked, cutter: ShaperCutter | None) -> ChordGiven | None:
    if asked.chordal_diameter_mm is None or (ring.kind == "internal" and ring.d_a < ring.d_b):
        return None
    chord = caliper.chordal_at(ring, asked.chordal_diameter_mm, cutter)
    return ChordGiven(thickness_mm=chord.s_c, height_mm=chord.h_c, contact_diameter_mm=chord.d_y)


def _outline(ring: RingGeometry, asked: GearAsked, cutter: ShaperCutter | None) -> OutlineGiven | None:
    tolerance = asked.outline_tolerance_mm
    if tolerance is None:
        return None
    points = tooth_outline(ring, tolerance=tolerance, cutter=cutter)
    return OutlineGiven(tolerance_mm=tolerance, points_mm=tuple((float(x), float(y)) for x, y in points))


def _form_cutters(ring: RingGeometry, notes: list[Note]) -> tuple[FormCutterGiven | None, FormCutterGiven | None]:
    """The cutter out of the set of fifteen, and the one out of the set of eight."""
    if ring.kind == "internal":
        text = _("No form cutter: the numbered cutters are for external rings.")
        notes.append(Note(code="form_cutter_internal", text=text))
        return None, None
    cutter, of_eight = cutters.form_cutter(ring.z_v), cutters.form_cutter(ring.z_v, "form_cutters_eight")
    if cutter is None or of_eight is None:
        text = _("No form cutter: the numbered sets begin at 12 teeth.")
        notes.append(Note(code="form_cutter_too_few", text=text))
        return None, None
    text = _(
        "Form cutter by the set of fifteen; in the set of eight it is No. {eight}. Many metric sets are numbered the "
        "other way round: go by the tooth range engraved on the cutter.",
        eight=of_eight.number,
    )
    notes.append(Note(code="form_cutter_numbering", text=text))
    given = _form_given(ring, cutter), _form_given(ring, of_eight)
    if abs(ring.z_v - cutter.low) > 1e-9:
        notes.append(_off_count(cutter, given[0].shape_error))
    if ring.x or ring.h_a != 1.0:
        text = _("A form cutter has one depth and no profile shift: it does not make this tooth form truly.")
        notes.append(Note(code="form_cutter_wrong_form", text=text))
    return given


def _form_given(ring: RingGeometry, cutter: cutters.FormCutter) -> FormCutterGiven:
    try:
        off = form_cutter.shape_error(ring, cutter.low)
    except Refusal:
        return FormCutterGiven(number=cutter.number, range=(cutter.low, cutter.high))
    error = ShapeErrorGiven(
        tip_um=off.tip * 1000, root_um=off.root * 1000, most_um=off.most * 1000, most_at_mm=off.d_most
    )
    return FormCutterGiven(number=cutter.number, range=(cutter.low, cutter.high), shape_error=error)


def _off_count(cutter: cutters.FormCutter, error: ShapeErrorGiven | None) -> Note:
    text = _("A form cutter is true for {low} teeth; this ring’s flanks come out a little too curved.", low=cutter.low)
    if error is not None:
        text += " " + _(
            "Against the true flank it leaves {tip} µm at the tip and {root} µm at the fillet (minus: too much off).",
            tip=f"{error.tip_um:+.0f}",
            root=f"{error.root_um:+.0f}",
        )
    return Note(code="form_cutter_off_count", text=text)


def _working(
    ring: RingGeometry,
    span: touch.Span | touch.NoMeasure,
    pins: touch.Pins | touch.NoMeasure,
    chordal: ChordalGiven | None,
    constant: ChordGiven | None,
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
    return (*lines, *_constant_sum(ring, constant))


def _constant_sum(ring: RingGeometry, constant: ChordGiven | None) -> tuple[WorkingLine, ...]:
    """The constant chord with its numbers put in."""
    if constant is None:
        return ()
    line = WorkingLine(
        symbol="s_cc",
        name=_("constant chord"),
        formula="s_n cos² α_n",
        put_in=f"{ring.s_n:.6f} · cos² {degrees(ring.alpha_n):.6g}°",
        value=constant.thickness_mm,
        unit="mm",
        source="handbook-constant-chord",
    )
    return (line,)


GEAR = Operation(
    name="gear",
    purpose=N_("Diameters, pitches, thicknesses and measures of a ring true to drawing."),
    asked=GearAsked,
    answered=GearAnswered,
    do=gear,
    came_from={
        **ring_came(),
        "k": Came("span_teeth"),
        "D_M": Came("pin_diameter_mm", "mm"),
        "d_y": Came("chordal_diameter_mm", "mm"),
        "h_K": Came("tip_chamfer_mm", "mm"),
        "z_0": Came("shaper.teeth"),
        "rho_a0": Came("shaper.tip_radius_coef"),
        "x_0": Came("shaper.profile_shift"),
        "tolerance": Came("outline_tolerance_mm", "mm"),
    },
)
