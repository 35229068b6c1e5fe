"""Reckons the published cases of this package again, a row at a time."""

from __future__ import annotations

from collections.abc import Mapping
from math import log, radians

from ringwright.cutting import data, deflection, forces, hardness, wear

Given = Mapping[str, str]


def brinell_from_vickers(given: Given) -> float:
    """Brinell from Vickers [-]."""
    return hardness.brinell_from_vickers(float(given["HV"]))


def rockwell_from_vickers(given: Given) -> float:
    """Rockwell C from Vickers [-]."""
    return hardness.rockwell_from_vickers(float(given["HV"]))


def brinell_from_rockwell(given: Given) -> float:
    """Brinell from Rockwell C [-]."""
    return hardness.brinell_from_rockwell(float(given["HRC"]))


def tensile_strength(given: Given) -> float:
    """Tensile strength from Brinell [MPa]."""
    return hardness.tensile_strength(float(given["HB"]))


def hss_speed(given: Given) -> float:
    """Speed of high speed steel [ft/min], as the table prints it."""
    return data.hss_speed(float(given["HB"])) / 0.3048


def carbide_speed(given: Given) -> float:
    """Speed of solid carbide [m/min]."""
    return data.carbide_speed(float(given["HB"]))


def carbide_feed(given: Given) -> float:
    """Feed per tooth of solid carbide [mm]."""
    return data.carbide_feed(float(given["D_mm"]))


def specific_cutting_force(given: Given) -> float:
    """Specific cutting force [kN/mm2], as the table prints it."""
    k_c11, m_c, h = (float(given[k]) for k in ("k_c11_mpa", "m_c", "h_mm"))
    return data.specific_cutting_force(k_c11, m_c, h) / 1000


def unit_power(given: Given) -> float:
    """Energy per volume from the handbook's constant [J/mm3]."""
    return data.unit_power(float(given["K_p_hp_in3_min"]))


def unit_energy(given: Given) -> float:
    """Energy per volume from hardness [J/mm3]."""
    return data.unit_energy(float(given["HB"]))


def feed_factor(given: Given) -> float:
    """Factor for thin chips [-]."""
    return data.feed_factor(float(given["f_z_mm"]))


def chip_thinning(given: Given) -> float:
    """Feed multiplier of a shallow side cut [-]."""
    return data.chip_thinning(float(given["engaged_share"]))


def mean_chip(given: Given) -> float:
    """Mean chip thickness [mm]."""
    return data.mean_chip(float(given["f_z_mm"]), float(given["engaged_share"]))


def spindle_speed(given: Given) -> float:
    """Spindle speed [1/min]."""
    return data.spindle_speed(float(given["v_m_min"]), float(given["D_mm"]))


def table_feed(given: Given) -> float:
    """Table feed [mm/min]."""
    return data.table_feed(float(given["n_rpm"]), float(given["z"]), float(given["f_z_mm"]))


def milling_power(given: Given) -> float:
    """Cutting power [kW]."""
    return data.milling_power(float(given["Q_mm3_min"]), float(given["k_c_mpa"]))


def run_in(given: Given) -> float:
    """Run-in of a peripheral cutter [mm]."""
    return data.run_in(float(given["D_mm"]), float(given["d_mm"]))


def slab_minutes(given: Given) -> float:
    """Time of one slab-milling pass with its run-in [min]."""
    length, D, d, z, f_z, v = (float(given[k]) for k in ("length_mm", "D_mm", "d_mm", "z", "f_z_mm", "v_m_min"))
    v_f = data.table_feed(data.spindle_speed(v, D), z, f_z)
    return data.cut_seconds(length + data.run_in(D, d), v_f) / 60


def _n(given: Given, *names: str) -> list[float]:
    return [float(given[name]) for name in names]


def brinell_from_leeb(given: Given) -> float:
    """Brinell from a rebound reading [-]."""
    return hardness.brinell_from_leeb(float(given["HLD"]))


def file_cuts_to(given: Given) -> float:
    """Hardest steel that a file still cuts [HRC]: the low end when it skated."""
    return hardness.file_interval(float(given["file_hrc"]), None)[0]


def file_skates_from(given: Given) -> float:
    """Softest steel on which a file skates [HRC]: the high end when it bit."""
    return hardness.file_interval(None, float(given["file_hrc"]))[1]


def rake_factor(given: Given) -> float:
    """Rake correction of the cutting force [-]."""
    gamma, ref = _n(given, "gamma_deg", "gamma_ref_deg")
    return forces.rake_factor(radians(gamma), radians(ref))


def speed_factor(given: Given) -> float:
    """Speed correction of the cutting force [-]."""
    return forces.speed_factor(float(given["v_m_min"]))


def grade_force(given: Given) -> float:
    """Specific cutting force of a named steel [kN/mm2]."""
    return float(forces.unit_force(forces.of_grade(given["material"]), float(given["h_mm"]))) / 1000


def mean_chip_power(given: Given) -> float:
    """Power of a slot from its mean chip [kW]."""
    a_p, a_e, D, n, z, f_z, wear_, v = _n(given, "a_p_mm", "a_e_mm", "D_mm", "n_rpm", "z", "f_z_mm", "K_w", "v_m_min")
    steel = forces.of_grade(given["material"])
    factor = forces.corrections(steel, v, steel.gamma_ref, wear_)
    return forces.mean_chip_power(steel, factor, a_p, a_e, D, (n, z, f_z), least=0.005)


def torque(given: Given) -> float:
    """Torque of a power at a speed [N m]."""
    return forces.torque(*_n(given, "P_kw", "n_rpm"))


def mean_tangential(given: Given) -> float:
    """Mean tangential force of a power at a speed and diameter [N]."""
    return forces.mean_tangential(torque(given), float(given["D_mm"]))


def chamfer_power(given: Given) -> float:
    """Power of a chamfer of a given leg at a given mean chip [kW]."""
    leg, h_m, n, z, f_z, wear_, v = _n(given, "leg_mm", "h_m_mm", "n_rpm", "z", "f_z_mm", "K_w", "v_m_min")
    steel = forces.of_grade(given["material"])
    k_c = float(forces.unit_force(steel, h_m)) * forces.corrections(steel, v, steel.gamma_ref, wear_)
    return data.milling_power(leg**2 / 2 * data.table_feed(n, z, f_z), k_c)


def peak_to_mean(given: Given) -> float:
    """Peak over mean force, one edge in the cut [-]."""
    share, z = _n(given, "engaged_share", "z")
    return data.peak_to_mean(share, int(z))


def axial_of_helix(given: Given) -> float:
    """Axial over tangential force [-]."""
    helix, share = _n(given, "helix_deg", "share")
    return forces.axial_of_helix(radians(helix), share)


def spindle_torque(given: Given) -> float:
    """Torque left at the spindle [N m]."""
    return forces.spindle_torque(*_n(given, "P_kw", "eta", "n_rpm"))


def table_moment(given: Given) -> float:
    """Moment of a tangential cut on the table [N m]."""
    return forces.table_moment(*_n(given, "F_n", "r_mm"))


def worm_handwheel(given: Given) -> float:
    """Torque at the worm's handwheel [N m]."""
    return forces.worm_handwheel(*_n(given, "M_nm", "ratio"))


def tip_deflection(given: Given) -> float:
    """Deflection at the tip of an end mill [um]."""
    F, L, D, E = _n(given, "F_n", "L_mm", "D_mm", "E_mpa")
    return 1000 * deflection.tip_deflection(F, L, D, E)


def stick_out_ratio(given: Given) -> float:
    """What a longer stick-out makes of the deflection [-]."""
    one, two = _n(given, "from_mm", "to_mm")
    bent = [deflection.tip_deflection(100, L, 12, deflection.E_CARBIDE) for L in (one, two)]
    return bent[1] / bent[0]


def root_stress(given: Given) -> float:
    """Bending stress at the root of an end mill [MPa]."""
    return deflection.root_stress(*_n(given, "F_n", "L_mm", "D_mm"))


def worst_chip(given: Given) -> float:
    """Feed of the edge that stands out [mm]."""
    return deflection.worst_chip(*_n(given, "f_z_mm", "tir_mm"))


def taylor_speed(given: Given) -> float:
    """Speed for an hour's life, rounded as the table of constants implies [m/min]."""
    n, C = wear.TAYLOR[given["material"]]
    return wear.speed_for_life(float(given["life_min"]), n, C)


def life_ratio(given: Given) -> float:
    """Change of life by a change of speed [-]."""
    return wear.life_ratio(*_n(given, "speed_ratio", "n"))


def extended_life(given: Given) -> float:
    """Life after the extended law, its constant taken at 60 min [min]."""
    v, f, d = _n(given, "v_m_min", "f_mm", "d_mm")
    powers = (0.13, 0.77, 0.37)
    v0, f0, d0, T0 = _n(given, "v_ref_m_min", "f_ref_mm", "d_ref_mm", "T_ref_min")
    C = v0 * T0 ** powers[0] * f0 ** powers[1] * d0 ** powers[2]
    return wear.extended_life(v, f, d, C, powers)


def lives_needed(given: Given) -> float:
    """Tests for a wanted error of the mean [-]."""
    error, cv = _n(given, "error_share", "cv")
    return wear.lives_needed(error, cv)


def sigma_of_cv(given: Given) -> float:
    """Lognormal scatter from the coefficient of variation [-]."""
    return wear.sigma_of_cv(float(given["cv"]))


def _told(given: Given) -> wear.MedianLife:
    prior, t, sigma, one, two = _n(given, "prior_min", "prior_sd", "sigma", "life1_min", "life2_min")
    return wear.MedianLife(log(prior), t).told([one, two], sigma)


def life_median(given: Given) -> float:
    """Median life after two lives seen [min]."""
    return _told(given).minutes


def life_doubt(given: Given) -> float:
    """Doubt left in its logarithm after two lives seen, whatever they were [-]."""
    prior, sigma = _n(given, "prior_sd", "sigma")
    return wear.MedianLife(log(40), prior).told([22, 27], sigma).t


def life_safe(given: Given) -> float:
    """Life of the next edge at a stated chance [min]."""
    return _told(given).safe(float(given["chance"]), float(given["sigma"]))
