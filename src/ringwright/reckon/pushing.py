"""The forces of a cut: what it asks of cutter, spindle and table lock, and the error that it leaves."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import degrees, radians
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting import chip, data, deflection, forces
from ringwright.cutting.chip import Law, Load, Running
from ringwright.cutting.forces import Steel
from ringwright.cutting.lead_in import LeadIn
from ringwright.errors import Refusal
from ringwright.reckon.base import Came
from ringwright.reckon.leading import aimed, set_up
from ringwright.reckon.leading_models import LeadInRequest
from ringwright.reckon.pushing_models import Band, Bending, CutAsked, Flanks, Forces, MotorAnswer, Turning
from ringwright.reckon.pushing_sums import Found
from ringwright.words import _

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Setting:
    """What `cutting_data` has settled: material, diameter [mm], edges, hardness, and the speed and feed as set."""

    material: str
    D: float
    z: int
    HB: float
    v: float
    n: float
    f_z: float

    @property
    def v_f(self) -> float:
        """Table feed [mm/min]."""
        return self.n * self.z * self.f_z


_WEAR = {"sharp": forces.SHARP, "usual": forces.USUAL, "worn": forces.WORN}


def _steel(asked: CutAsked, HB: float) -> Steel:
    return forces.steel_of_hardness(HB) if asked.steel is None else forces.of_grade(asked.steel)


def _law(asked: CutAsked, steel: Steel, v: float) -> Law:
    wear = _WEAR[asked.wear]
    return Law(
        steel,
        forces.corrections(steel, max(v, 5.0), radians(asked.rake_deg), wear),
        forces.radial_ratio(wear),
        forces.axial_of_helix(radians(asked.helix_deg)),
    )


def _aimed(asked: CutAsked) -> tuple[LeadIn, float]:
    at = set_up(LeadInRequest(ring=asked.ring, cutter=asked.cutter, pose=asked.pose, target=asked.target), shift=False)
    cut = aimed(at, asked.target).cut
    if cut is None:
        raise Refusal("target_not_reached", "target")
    return at, cut.infeed


def reckoned(asked: CutAsked, setting: Setting) -> tuple[Forces, Found]:
    """Forces at the heaviest place of the cut, as set, and what they were reckoned with."""
    if abs(asked.cutter.diameter_mm - setting.D) > 1e-9:
        raise Refusal("cutters_differ", "D_cut", asked.cutter.diameter_mm)
    at, infeed = _aimed(asked)
    steel = _steel(asked, setting.HB)
    law = _law(asked, steel, setting.v)
    running = Running(setting.z, setting.f_z, setting.n, radians(asked.helix_deg), asked.runout_mm)
    load, heavy = chip.heaviest(at, infeed, running, law, neighbour_cut=asked.space_before_cut)
    share = forces.band(steel, load.chip)
    torque, power = heavy.torque / 1000, heavy.power(setting.n)
    U = data.unit_energy(setting.HB) * data.feed_factor(setting.f_z) * 1000
    told = Forces(
        steel=asked.steel,
        k_c11_mpa=steel.k_c11,
        m_c=steel.m_c,
        factor=law.factor,
        infeed_mm=infeed,
        thickest_chip_mm=load.chip,
        section_mm2=heavy.section,
        arc_deg=degrees(load.arc),
        peak_n=_band(float(np.linalg.norm(load.peak)), share),
        peak_vector_n=_three(load.peak),
        mean_vector_n=_three(load.mean),
        torque_nm=_band(torque, share),
        torque_peak_nm=heavy.torque_peak / 1000,
        power_kw=_band(power, share),
        handbook_power_kw=data.milling_power(heavy.section * setting.v_f, U),
        motor=_motor(asked, torque * (1 + share), power * (1 + share), setting),
        turning=_turning(asked, load, at),
        bending=_bending(asked, load, at, infeed, setting.material),
    )
    return told, Found(
        law=law,
        load=load,
        heavy=heavy,
        share=share,
        across=float(np.linalg.norm(_across(load, at))),
        r=at.body.r,
        wear=_WEAR[asked.wear],
        HB=setting.HB,
        v=setting.v,
        n=setting.n,
        f_z=setting.f_z,
        v_f=setting.v_f,
        E=deflection.modulus(setting.material),
    )


def _across(load: Load, at: LeadIn) -> Array:
    """The peak force on the cutter square to its axis [N], shape (3,)."""
    return np.asarray(-(load.peak - float(load.peak @ at.pose.u) * at.pose.u))


def _band(likely: float, share: float) -> Band:
    return Band(likely=likely, low=likely * (1 - share), high=likely * (1 + share))


def _three(v: Array) -> tuple[float, float, float]:
    r, t, a = (float(x) + 0.0 for x in v)
    return r, t, a


def _motor(asked: CutAsked, torque: float, power: float, setting: Setting) -> MotorAnswer | None:
    if asked.motor is None:
        return None
    there = forces.spindle_torque(asked.motor.power_kw, asked.motor.efficiency, setting.n)
    used = power / (asked.motor.power_kw * asked.motor.efficiency)
    share = torque / there
    return MotorAnswer(torque_nm=there, torque_share=share, power_share=used, enough=max(share, used) <= 1)


def _turning(asked: CutAsked, load: Load, at: LeadIn) -> Turning:
    least, mean, greatest = (m / 1000 for m in load.turning)
    worm: Literal["seats", "unseats", "both"] | None = None
    if asked.last_move is not None:
        # the worm's flank drives the ring the way it was last turned: a push that way lifts the ring off it
        along = 1 if asked.last_move == "clockwise" else -1
        small = 1e-3 * max(abs(least), abs(greatest))
        off, on = max(along * least, along * greatest) > small, min(along * least, along * greatest) < -small
        worm = "both" if off and on else ("unseats" if off else "seats")
    return Turning(
        least_nm=least,
        mean_nm=mean,
        greatest_nm=greatest,
        push_n=1000 * max(abs(least), abs(greatest)) / at.body.r,
        worm=worm,
        says=_worm_says(worm),
    )


def _worm_says(worm: str | None) -> str:
    if worm == "seats":
        return _("The push holds the ring on the worm. Lock the table all the same.")
    if worm == "unseats":
        return _(
            "The push lifts the ring off the worm's flank, into the backlash. The lock alone holds it: try it before "
            "each cut, or approach from the other side."
        )
    if worm == "both":
        return _("The push changes sides with every edge and rattles in the backlash. The lock alone holds the ring.")
    return _("Tell last_move to know whether the push seats the worm. The lock has to hold it in any case.")


def _bending(asked: CutAsked, load: Load, at: LeadIn, infeed: float, material: str) -> Bending | None:
    if asked.held is None:
        return None
    held, D = asked.held, asked.cutter.diameter_mm
    push = _across(load, at)
    F = float(np.linalg.norm(push))
    bent = deflection.tip_deflection(
        F, held.stick_out_mm, D, deflection.modulus(material), held.flute_length_mm, held.shank_diameter_mm
    )
    moved = push / max(F, 1e-12) * bent * held.holder_factor
    meant = at.cut(infeed)
    left = replace(at, pose=at.pose.moved(moved)).cut(infeed)
    return Bending(
        tip_um=1000 * bent,
        with_holder_um=1000 * bent * held.holder_factor,
        moved_mm=_three(moved),
        lead_error_mm=Flanks(plus=left.leads.plus - meant.leads.plus, minus=left.leads.minus - meant.leads.minus),
        land_error_mm=left.land_finished - meant.land_finished,
        root_stress_mpa=deflection.root_stress(F, held.stick_out_mm, D),
        root_limit_mpa=deflection.CARBIDE_LIMIT if material == "carbide" else None,
        stick_out_diameters=held.stick_out_mm / D,
        stick_out_guide=deflection.STICK_OUT[material],
    )


#: Where the core's symbols came from, for the operation that asks for forces.
CAME_FROM = {
    "target": Came("cut.target"),
    "D_cut": Came("cut.cutter.diameter_mm", "mm"),
    "material": Came("cut.steel"),
    "infeed": Came("cut.target"),
    "gamma": Came("cut.rake_deg", "deg"),
    "helix": Came("cut.helix_deg", "deg"),
    "tir": Came("cut.runout_mm", "mm"),
    "flute": Came("cut.held.flute_length_mm", "mm"),
    "L": Came("cut.held.stick_out_mm", "mm"),
    "d": Came("cut.held.shank_diameter_mm", "mm"),
    "h": Came("cut"),
    "F": Came("cut"),
    "b": Came("cut.ring.face_width_mm", "mm"),
    "m_n": Came("cut.ring.module_mm", "mm"),
    "d_a": Came("cut.ring.tip_diameter_mm", "mm"),
    "d_f": Came("cut.ring.root_diameter_mm", "mm"),
    "alpha_n": Came("cut.ring.pressure_angle_deg", "deg"),
    "beta": Came("cut.ring.helix_angle_deg", "deg"),
    "x": Came("cut.ring.profile_shift"),
    "h_a": Came("cut.ring.addendum_coef"),
    "h_f": Came("cut.ring.dedendum_coef"),
    "rho_f": Came("cut.ring.root_radius_coef"),
    "s_n": Came("cut.ring.thickness_allowance_mm", "mm"),
    "allowance": Came("cut.ring.thickness_allowance_mm", "mm"),
    "u": Came("cut.pose.tool_axis"),
    "f": Came("cut.pose.feed"),
    "tip": Came("cut.pose.tip"),
    "work_at": Came("cut.pose.work_at"),
    "r_c": Came("cut.cutter.corner_radius_mm", "mm"),
}
