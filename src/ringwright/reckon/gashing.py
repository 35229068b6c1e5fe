"""A tooth space cut or re-cut to depth: how deep, how wide, how true to the involute, in which passes."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from math import pi, tan
from typing import Any, Literal, Self

import numpy as np
from pydantic import Field, model_validator

from ringwright.cutting.gash import Gash, OldSpace, Profile
from ringwright.cutting.surface import ToothedRing
from ringwright.errors import Refusal
from ringwright.gears.cutters import form_cutter
from ringwright.reckon import phrases
from ringwright.reckon.base import (
    Answered,
    Asked,
    Came,
    Given,
    Millimetres,
    Note,
    Operation,
    Record,
    WorkingLine,
)
from ringwright.reckon.leading_cutters import CUTTER_CAME, Cutter, core_cutter, design_ring
from ringwright.reckon.leading_models import AskedAxis, Slide
from ringwright.reckon.leading_more import on_axis
from ringwright.reckon.measuring import core_ring
from ringwright.reckon.ring import Ring
from ringwright.words import N_, _

for _code, _what, _allowed, _do in (
    (
        "gash_helical",
        N_("The teeth stand at {value}: a straight pass does not cut such a space."),
        N_("A ring with straight teeth."),
        N_("A helical space needs the ring turned along with the feed, geared to it."),
    ),
    (
        "gash_target",
        N_("How deep to cut has to be said in exactly one way."),
        N_("Exactly one of full_depth true, depth_mm, width_mm."),
        N_("Leave one, take the others out."),
    ),
    (
        "space_now_empty",
        N_("Nothing is said of the space that is there."),
        N_("flanks_lost_mm, depth_mm, or both in space_now."),
        N_("Measure the old space, or leave space_now out for a solid blank."),
    ),
    (
        "face_width_for_gash",
        N_("The face width is missing."),
        N_("face_width_mm in the ring."),
        N_("Measure the face width and put it in."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)

#: Heights of the profile that are told, of those that are looked at.
_EVERY = 5


class Depth(Record):
    """Exactly one: to the root circle, a depth from the tip circle, or an arc of space on the reference circle."""

    full_depth: Literal[True] | None = None
    depth_mm: Millimetres | None = Field(None, gt=0, le=500)
    width_mm: Millimetres | None = Field(None, gt=0, le=500)

    @model_validator(mode="after")
    def _one(self) -> Self:
        if sum(t is not None for t in (self.full_depth, self.depth_mm, self.width_mm)) != 1:
            raise ValueError("gash_target")
        return self


class SpaceNow(Record):
    """The space that is there already: the drawn one, wider or narrower, to the root or to a depth."""

    flanks_lost_mm: Millimetres | None = Field(
        None, ge=-20, le=20, description="square to each flank; below 0 metal stands on it"
    )
    depth_mm: Millimetres | None = Field(None, ge=0, le=500, description="from the tip circle; left out: to the root")

    @model_validator(mode="after")
    def _some(self) -> Self:
        if self.flanks_lost_mm is None and self.depth_mm is None:
            raise ValueError("space_now_empty")
        return self

    @property
    def old(self) -> OldSpace:
        """As the core takes it."""
        return OldSpace(self.flanks_lost_mm or 0.0, self.depth_mm)


class GashRequest(Asked):
    """What `gash` is asked."""

    ring: Ring
    cutter: Cutter
    target: Depth
    centre_offset_mm: Millimetres = Field(0.0, ge=-100, le=100, description="cutter off the middle, towards +t")
    passes: int = Field(1, ge=1, le=50)
    axis: AskedAxis | None = None
    space_now: SpaceNow | None = Field(None, description="left out: a solid blank")
    depth_by: Slide | None = Field(None, description="the slide that sets the depth")


class Height(Given):
    """Flanks at one diameter: metal left square to the flank, below 0 where the tooth comes out thinner."""

    diameter_mm: float
    plus_um: float | None
    minus_um: float | None


class GashPass(Given):
    """One pass, by its depth from the tip circle, and the metal it takes of what is there."""

    depth_mm: float
    removed_mm3: float
    turned: str | None


class GashAnswer(Answered):
    """What `gash` answers; depths from a sound tip, arcs on the reference circle, +t clockwise on the entry face."""

    reachable: bool
    depth_mm: float | None
    turned: str | None
    root_diameter_mm: float | None
    width_mm: float | None
    width_wanted_mm: float
    wider_per_tenth_mm: float | None = Field(description="more space for 0.1 mm more depth")
    worst_um: float | None
    thinnest_um: float | None = Field(description="the most that the tooth comes out too thin on one flank")
    profile: tuple[Height, ...] | None
    root_left_mm: float | None
    root_below_mm: float | None
    passes: tuple[GashPass, ...]
    removed_mm3: float | None
    design_teeth: int | None
    cutter_number: str | None
    cuts: tuple[Literal["climb", "conventional"], Literal["climb", "conventional"]] = Field(
        description="at +t and -t: right-hand cutter, spindle at +t or outwards, fed from the entry face inwards"
    )
    widest_mm: float | None = Field(description="the most that this cutter gives at any depth, when not reachable")
    says: tuple[str, ...]


@lru_cache(maxsize=32)
def _gash(ring: Ring, cutter: Cutter, offset: float) -> Gash:
    if ring.face_width_mm is None:
        raise Refusal("face_width_for_gash", "b")
    core = core_ring(ring)
    return Gash(ToothedRing(core, ring.face_width_mm), core_cutter(cutter, core), offset)


def _depth(asked: GashRequest, g: Gash) -> float | None:
    if asked.target.full_depth:
        return g.full_depth
    if asked.target.depth_mm is not None:
        return asked.target.depth_mm
    assert asked.target.width_mm is not None  # _one holds
    return g.depth_for_width(asked.target.width_mm)


def gash(asked: GashRequest) -> GashAnswer:
    """Depth from the tip, and what the space is like then."""
    g = _gash(asked.ring, asked.cutter, asked.centre_offset_mm)
    wanted = g.body.ring.p_t - g.body.ring.s_t
    depth = _depth(asked, g)
    if depth is None:
        return _not_reached(asked, g, wanted)
    profile = g.profile(depth)
    left, below = g.root_left(depth)
    worst, thinnest = _extremes(profile)
    width = g.width(depth)
    passes = tuple(_passes(asked, g, depth))
    return GashAnswer(
        reachable=True,
        depth_mm=depth,
        turned=_turned(asked, depth),
        root_diameter_mm=2 * (g.body.r_a - g.out * depth),
        width_mm=width,
        width_wanted_mm=wanted,
        wider_per_tenth_mm=g.width(depth + 0.1) - width,
        worst_um=worst,
        thinnest_um=thinnest,
        profile=tuple(_heights(profile)),
        root_left_mm=left,
        root_below_mm=below,
        passes=passes,
        removed_mm3=sum(one.removed_mm3 for one in passes),
        widest_mm=None,
        says=tuple(_says(asked, g, depth, profile)),
        cuts=g.senses,
        **_form(asked, g),
        notes=tuple(_notes(asked)),
        sources=("iso-21771", "own-arithmetic"),
        working=tuple(_working(g, depth, profile)) if asked.working else None,
    )


def _not_reached(asked: GashRequest, g: Gash, wanted: float) -> GashAnswer:
    widest = g.width(g.full_depth + g.body.ring.m_n)
    mm = f"{widest:.3f}"
    text = _("This cutter makes the space at most {mm} mm wide: take a wider one, or cut on both sides.", mm=mm)
    if asked.target.width_mm is not None and widest >= asked.target.width_mm:
        text = _("The width jumps over what is wanted: the cutter sets it, not the depth.")
    return GashAnswer(
        reachable=False,
        depth_mm=None,
        turned=None,
        root_diameter_mm=None,
        width_mm=None,
        width_wanted_mm=wanted,
        wider_per_tenth_mm=None,
        worst_um=None,
        thinnest_um=None,
        profile=None,
        root_left_mm=None,
        root_below_mm=None,
        passes=(),
        removed_mm3=None,
        widest_mm=widest,
        says=(text,),
        cuts=g.senses,
        **_form(asked, g),
        notes=tuple(_notes(asked)),
        sources=("iso-21771", "own-arithmetic"),
        working=() if asked.working else None,
    )


def _form(asked: GashRequest, g: Gash) -> dict[str, Any]:
    """Of a form cutter: the teeth it was designed for, and its number in the usual set."""
    if asked.cutter.kind != "involute_form":
        return {"design_teeth": None, "cutter_number": None}
    found = form_cutter(g.body.ring.z_v)
    return {
        "design_teeth": design_ring(asked.cutter, g.body.ring).z,
        "cutter_number": None if found is None else found.number,
    }


def _turned(asked: GashRequest, mm: float) -> str | None:
    return None if asked.axis is None else on_axis(asked.axis, mm, asked.depth_by or "")


def _old(asked: GashRequest) -> OldSpace | None:
    return None if asked.space_now is None else asked.space_now.old


def _passes(asked: GashRequest, g: Gash, depth: float) -> Iterable[GashPass]:
    depths = g.passes(depth, asked.passes, _old(asked))
    before = 0.0
    for d, gone in zip(depths, g.removed(np.array(depths), _old(asked)), strict=True):
        yield GashPass(depth_mm=d, removed_mm3=float(gone) - before, turned=_turned(asked, d))
        before = float(gone)


def _um(mm: float) -> float | None:
    return None if np.isnan(mm) else 1000 * float(mm)


def _heights(profile: Profile) -> Iterable[Height]:
    for rho, plus, minus in list(zip(profile.rho, profile.plus, profile.minus, strict=True))[::_EVERY]:
        yield Height(diameter_mm=2 * float(rho), plus_um=_um(plus), minus_um=_um(minus))


def _extremes(profile: Profile) -> tuple[float | None, float | None]:
    """Largest error either way, and the most that a tooth is too thin [um]."""
    both = np.concatenate([profile.plus, profile.minus])
    both = both[~np.isnan(both)]
    if not len(both):
        return None, None
    return 1000 * float(abs(both).max()), 1000 * float(max(-both.min(), 0.0))


def _says(asked: GashRequest, g: Gash, depth: float, profile: Profile) -> Iterable[str]:
    yield _("Touch a sound tip with the cutter over the middle of a tooth: {mm} mm in from there.", mm=f"{depth:.3f}")
    tip = asked.ring.tip_diameter_mm
    if tip is None:
        yield _("Where tips are worn or topped, measure the tip circle and give tip_diameter_mm: the depth follows it.")
    worst, thinnest = _extremes(profile)
    if thinnest is not None and thinnest > 5:
        yield _("The tooth comes out up to {um} um too thin on a flank.", um=f"{thinnest:.0f}")
    if worst is not None and asked.cutter.kind == "involute_form":
        yield _("Against the true involute the flanks are out by up to {um} um.", um=f"{worst:.0f}")
    yield from _old_says(asked, g, depth)
    yield _which_way(g)
    if asked.cutter.kind != "involute_form":
        yield _("This cutter leaves no involute: rough with it, then finish with a form cutter or by generating.")
    else:
        yield _("Rough first with a saw or end mill and leave 0.2 to 0.5 mm, then the form cutter once.")


def _old_says(asked: GashRequest, g: Gash, depth: float) -> Iterable[str]:
    """Where the cut does not reach the flanks or the bottom of the space that is there."""
    old = _old(asked)
    if old is None:
        return
    deep = g.full_depth if old.depth is None else old.depth
    wider = g.width_of(old) - g.width(depth)
    if wider > 1e-3:
        mm = f"{wider:.3f}"
        yield _("The old space is {mm} mm wider at the reference circle: there the flanks stay as they are.", mm=mm)
    if deep > depth + 1e-3:
        yield _("The old space is {mm} mm deeper than this cut.", mm=f"{deep - depth:.3f}")


def _which_way(g: Gash) -> str:
    one, two = g.senses
    if one == two:
        return _(
            "Right-hand cutter, spindle at the clockwise side, fed from the entry face inwards: it {climbs}. With the "
            "spindle on the other side, or fed the other way, it is the reverse. Slides with play want conventional.",
            climbs=_("climbs") if one == "climb" else _("cuts conventional"),
        )
    return _(
        "Fed from the entry face inwards a right-hand cutter climbs on the tooth that lies {side}: lock the gibs.",
        side=_("clockwise") if one == "climb" else _("anticlockwise"),
    )


def _blank_or_old(asked: GashRequest) -> Note:
    """Out of what the passes take their metal."""
    now = asked.space_now
    if now is None:
        text = _("Passes take about the same section out of a solid blank; in an old space the first ones cut little.")
        return Note(code="passes_in_solid", text=text)
    text = _(
        "Passes and metal are of what is there: the drawn space, {lost:g} mm wider square to each flank, down to "
        "{deep}; tips, ends and an uneven wear are not known.",
        lost=now.flanks_lost_mm or 0.0,
        deep=_("the root") if now.depth_mm is None else _("{mm:g} mm from the tip", mm=now.depth_mm),
    )
    return Note(code="old_space_taken", text=text)


def _notes(asked: GashRequest) -> Iterable[Note]:
    text = _("Depths count from the ring's tip circle, square to the ring's axis, the cutter passing the whole face.")
    yield Note(code="depth_from_tip", text=text)
    yield _blank_or_old(asked)
    text = _("Cutter, arbor and ring are taken as stiff and the cutter as running true.")
    yield Note(code="nothing_bends", text=text)
    if asked.cutter.kind == "involute_form" and asked.cutter.design_teeth is None:
        text = _("design_teeth was not given: the cutter that the standard set has for this ring was taken.")
        yield Note(code="default_used", text=text)
    for field in ("pressure_angle_deg", "profile_shift", "addendum_coef", "dedendum_coef"):
        if field not in asked.ring.model_fields_set:
            value = f"{getattr(asked.ring, field):g}"
            text = _("{field} was not given: taken as {value}.", field=f"ring.{field}", value=value)
            yield Note(code="default_used", text=text)


def _working(g: Gash, depth: float, profile: Profile) -> Iterable[WorkingLine]:
    ring = g.body.ring
    yield WorkingLine(
        symbol="depth",
        name=_("from the tip circle to the lowest point of the cutter"),
        formula="(d_a - d_root) / 2",
        put_in=f"({2 * g.body.r_a:.4f} - {2 * (g.body.r_a - g.out * depth):.4f}) / 2",
        value=depth,
        unit="mm",
        source="own-arithmetic",
    )
    yield WorkingLine(
        symbol="e_t",
        name=_("arc of the space on the reference circle that is wanted"),
        formula="p_t - s_t",
        put_in=f"{ring.p_t:.4f} - {ring.s_t:.4f}",
        value=ring.p_t - ring.s_t,
        unit="mm",
        source="iso-21771",
    )
    yield WorkingLine(
        symbol="e_cut",
        name=_("arc of the space on the reference circle as cut"),
        formula="r times the angle in which the cutter comes to r = d/2 within the depth",
        put_in=f"{g.body.r:.4f} * {g.width(depth) / g.body.r:.6f}",
        value=g.width(depth),
        unit="mm",
        source="own-arithmetic",
    )
    yield WorkingLine(
        symbol="2 tan(alpha)",
        name=_("straight-sided estimate of the widening per mm of depth"),
        formula="2 tan(alpha_t)",
        put_in=f"2 tan({ring.alpha_t * 180 / pi:.4f} deg)",
        value=2 * tan(ring.alpha_t),
        unit="",
        source="own-arithmetic",
    )


GASH = Operation(
    name="gash",
    purpose=N_("A tooth space cut to depth: how deep, how wide, how true to the involute, in which passes."),
    asked=GashRequest,
    answered=GashAnswer,
    do=gash,
    came_from={
        "z": Came("ring.teeth"),
        "m_n": Came("ring.module_mm", "mm"),
        "alpha_n": Came("ring.pressure_angle_deg", "deg"),
        "beta": Came("ring.helix_angle_deg", "deg"),
        "x": Came("ring.profile_shift"),
        "s_n": Came("ring.thickness_allowance_mm", "mm"),
        "allowance": Came("ring.thickness_allowance_mm", "mm"),
        "d_a": Came("ring.tip_diameter_mm", "mm"),
        "d_f": Came("ring.root_diameter_mm", "mm"),
        "b": Came("ring.face_width_mm", "mm"),
        "e": Came("centre_offset_mm", "mm"),
        "passes": Came("passes"),
        **CUTTER_CAME,
    },
)
