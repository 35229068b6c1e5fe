"""The sums behind the forces of a cut, with the numbers put in."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import degrees

import numpy as np

from ringwright.cutting import deflection, forces
from ringwright.cutting.chip import Law, Load
from ringwright.reckon.base import WorkingLine
from ringwright.reckon.pushing_models import CutAsked, Forces
from ringwright.words import _


@dataclass(frozen=True, slots=True)
class Found:
    """What the forces were reckoned with: ``across`` [N] the peak square to the tool axis, ``r`` [mm] reference."""

    law: Law
    load: Load
    heavy: Load
    share: float
    across: float
    r: float
    wear: float
    HB: float
    v: float
    n: float
    f_z: float
    v_f: float
    E: float


def sums(asked: CutAsked, told: Forces, found: Found) -> Iterable[WorkingLine]:
    """From the constants of the steel to force, torque, power, push and bending."""
    yield from _law(asked, told, found)
    yield from _force(told, found)
    yield from _turning(asked, told, found)
    yield from _bending(asked, told, found)


def _line(symbol: str, name: str, formula: str, put_in: str, value: float, unit: str, source: str) -> WorkingLine:
    return WorkingLine(symbol=symbol, name=name, formula=formula, put_in=put_in, value=value, unit=unit, source=source)


def _law(asked: CutAsked, told: Forces, found: Found) -> Iterable[WorkingLine]:
    steel = found.law.steel
    if asked.steel is None:
        base, over = forces.grades()["C45"].k_c11, f"{found.HB:.0f} / {forces.C45_HB:.0f}"
        yield _line(
            "k_c1.1",
            _("constant of the steel, by its hardness"),
            "k_c1.1(C45) · (HB / 190)^0.48",
            f"{base:.0f} · ({over})^{forces.HARDNESS_EXPONENT:g}",
            steel.k_c11,
            "MPa",
            "kienzle-constants",
        )
    v = max(found.v, 5.0)
    rake, speed = forces.rake_factor(np.radians(asked.rake_deg), steel.gamma_ref), forces.speed_factor(v)
    yield _line(
        "K_γ",
        _("rake"),
        "1 - 0.015 (γ - γ_ref)",
        f"1 - 0.015 · ({asked.rake_deg:g} - {degrees(steel.gamma_ref):g})",
        rake,
        "",
        "kienzle-corrections",
    )
    law, a, b = ("2.023 v^-0.153", 2.023, 0.153) if v < 100 else ("1.380 v^-0.07", 1.380, 0.07)
    yield _line("K_v", _("speed"), law, f"{a:g} · {v:.1f}^-{b:g}", speed, "", "kienzle-corrections")
    yield _line(
        "K",
        _("all corrections: rake, speed, wear, milling"),
        "K_γ · K_v · K_w · 1.2",
        f"{rake:.3f} · {speed:.3f} · {found.wear:g} · {forces.MILLING:g}",
        told.factor,
        "",
        "kienzle-corrections",
    )


def _force(told: Forces, found: Found) -> Iterable[WorkingLine]:
    steel, h, least = found.law.steel, told.thickest_chip_mm, forces.THINNEST_CHIP
    yield _line(
        "k_c",
        _("unit force at the thickest chip, before corrections"),
        "k_c1.1 · max(h, 0.03)^-m_c",
        f"{steel.k_c11:.0f} · {max(h, least):.3f}^-{steel.m_c:g}",
        float(forces.unit_force(steel, h)),
        "MPa",
        "kienzle-constants",
    )
    r, t, a = told.peak_vector_n
    yield _line(
        "F",
        _("peak force: k_c h b K and its part out of the metal, added up along all edges in the cut"),
        "√(F_r² + F_t² + F_a²)",
        f"√({r:.1f}² + {t:.1f}² + {a:.1f}²)",
        told.peak_n.likely,
        "N",
        "milling-force-ratios",
    )
    mean, section = found.heavy.unit, told.section_mm2
    yield _line(
        "P",
        _("power: mean k_c over the metal in the way, its section, the feed"),
        "k_cm · K · A · v_f / (60·10⁶)",
        f"{mean:.0f} · {told.factor:.3f} · {section:.3f} · {found.v_f:.1f} / (60·10⁶)",
        told.power_kw.likely,
        "kW",
        "own-arithmetic",
    )
    yield _line(
        "M",
        _("torque at the spindle, mean of a turn"),
        "60000 P / (2π n)",
        f"60000 · {told.power_kw.likely:.5f} / (2π · {found.n:.0f})",
        told.torque_nm.likely,
        "N m",
        "own-arithmetic",
    )


def _turning(asked: CutAsked, told: Forces, found: Found) -> Iterable[WorkingLine]:
    if asked.motor is not None and told.motor is not None:
        yield _line(
            "M_motor",
            _("torque that the motor leaves at the spindle"),
            "60000 P η / (2π n)",
            f"60000 · {asked.motor.power_kw:g} · {asked.motor.efficiency:g} / (2π · {found.n:.0f})",
            told.motor.torque_nm,
            "N m",
            "own-arithmetic",
        )
    most = max(abs(told.turning.least_nm), abs(told.turning.greatest_nm))
    yield _line(
        "F_push",
        _("push at the reference circle, of the greater moment"),
        "1000 · M_ring / r",
        f"1000 · {most:.3f} / {found.r:.3f}",
        told.turning.push_n,
        "N",
        "own-arithmetic",
    )


def _bending(asked: CutAsked, told: Forces, found: Found) -> Iterable[WorkingLine]:
    held, bent = asked.held, told.bending
    if held is None or bent is None:
        return
    D, L = asked.cutter.diameter_mm, held.stick_out_mm
    flute = L if held.flute_length_mm is None else held.flute_length_mm
    shank = D if held.shank_diameter_mm is None else held.shank_diameter_mm
    I_f, I_s = deflection.second_moment(deflection.FLUTED * D), deflection.second_moment(shank)
    yield _line(
        "δ",
        _("bending of the cutter alone, by the peak force square to its axis"),
        "1000 F_q / (3 E) · (l³ / I_f + (L³ - l³) / I_s)",
        f"1000 · {found.across:.1f} / (3 · {found.E:.0f}) · ({flute:g}³ / {I_f:.1f} + ({L:g}³ - {flute:g}³) / "
        f"{I_s:.1f})",
        bent.tip_um,
        "µm",
        "end-milling-course",
    )
    yield _line(
        "δ_held",
        _("with collet, taper and quill"),
        "factor · δ",
        f"{held.holder_factor:g} · {bent.tip_um:.2f}",
        bent.with_holder_um,
        "µm",
        "common-practice",
    )
    yield _line(
        "σ",
        _("bending stress at the holder"),
        "32 F_q L / (π (0.8 D)³)",
        f"32 · {found.across:.1f} · {L:g} / (π · ({deflection.FLUTED:g} · {D:g})³)",
        bent.root_stress_mpa,
        "MPa",
        "own-arithmetic",
    )
