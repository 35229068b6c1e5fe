"""Reckons the published cases of this package again, a row at a time."""

from __future__ import annotations

from collections.abc import Mapping

from ringwright.cutting import data, hardness

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
