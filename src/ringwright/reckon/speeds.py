"""``cutting_data``: speed, feed, time, power and forces as a starting point, in the machine's own steps."""

from __future__ import annotations

from typing import NamedTuple

from ringwright.cutting import data, hardness, wear
from ringwright.reckon import pushing, pushing_sums, pushing_words
from ringwright.reckon.base import Came, Note, Operation, WorkingLine
from ringwright.reckon.pushing_models import Forces
from ringwright.reckon.speeds_models import Brinell, CuttingDataAnswer, CuttingDataAsked, Stepped
from ringwright.reckon.speeds_words import advice, handled, notes, working
from ringwright.words import N_


def printed_speed(material: str, HB: float, engagement: str = "heavy") -> float:
    """The table's speed for a cutter material in steel of a hardness [m/min]."""
    if material == "carbide":
        return data.carbide_speed(HB, engagement)
    return data.hss_speed(HB) * (data.COBALT_GAIN if material == "hss_cobalt" else 1.0)


def _share(asked: CuttingDataAsked) -> float:
    if asked.machine_share is not None:
        return asked.machine_share
    return data.MANUAL_SHARE if asked.cutter.material == "carbide" else 1.0


def cutting_data(asked: CuttingDataAsked) -> CuttingDataAnswer:
    """Speed, feed, time and power for one cutter in one zone."""
    likely, low, high = asked.hardness.span()
    HB = min(high, data.CARBIDE_END_HB) if asked.hardness.scale == "file" else likely
    zone = _zone(asked)
    v_table, share = printed_speed(asked.cutter.material, HB, asked.engagement), _share(asked)
    v = v_table * share * zone
    D, z = asked.cutter.diameter_mm, asked.cutter.flutes
    n = data.spindle_speed(v, D)
    rpm = Stepped(ideal=n, set=data.step_below(n, asked.speeds_rpm))
    n_set = n if rpm.set is None else rpm.set
    v_set = v * n_set / n
    f_z = data.carbide_feed(D, asked.engagement)
    v_f = data.table_feed(n_set, z, f_z)
    feed = Stepped(ideal=v_f, set=data.step_below(v_f, asked.feeds_mm_min))
    v_f_set = v_f if feed.set is None else feed.set
    cut_s = None if asked.feed_travel_mm is None else data.cut_seconds(asked.feed_travel_mm, v_f_set)
    handling = handled()
    by_hand = sum(h.likely_s for h in handling)
    tooth_s = None if cut_s is None else by_hand + cut_s
    power = None
    if asked.chip_section_mm2 is not None:
        U = data.unit_energy(HB) * data.feed_factor(f_z) * 1000
        power = data.milling_power(asked.chip_section_mm2 * v_f_set, U)
    f_z_set = v_f_set / n_set / z
    pushed = _pushed(asked, pushing.Setting(asked.cutter.material, D, z, HB, v_set, n_set, f_z_set))
    sources = ["carbide-end-mill-data", "handling-elements", "common-practice"]
    if asked.cutter.material != "carbide":
        sources.insert(0, "hss-speeds-by-hb")
    if asked.hardness.scale != "HB":
        sources += ["hardness-din-50150", "hardness-a370"]
    if pushed.forces is not None:
        sources += ["kienzle-constants", "kienzle-corrections", "milling-force-ratios"]
    if power is not None or pushed.forces is not None:
        sources += ["machinerys-handbook-31-power", "machinerys-handbook-feed-factor"]
    return CuttingDataAnswer(
        hardness_hb=Brinell(likely=likely, low=low, high=high, about_hrc=_about_hrc(asked, likely)),
        speed_m_min=v,
        speed_as_set_m_min=v_set,
        spindle_rpm=rpm,
        feed_per_tooth_mm=f_z,
        feed_per_tooth_as_set_mm=f_z_set,
        feed_mm_min=feed,
        cut_s=cut_s,
        handling=handling,
        handling_s=by_hand,
        tooth_s=tooth_s,
        cutting_share=None if cut_s is None or tooth_s is None else cut_s / tooth_s,
        round_minutes=None if tooth_s is None or asked.teeth is None else tooth_s * asked.teeth / 60,
        power_kw=power,
        forces=pushed.forces,
        advice=advice(asked, HB, v_f_set),
        notes=(*notes(asked, HB, rpm, v_set, v, f_z_set), *pushed.notes),
        sources=tuple(sources),
        working=(*working(asked, v_table, share, zone, v, n, n_set, f_z, v_f), *pushed.sums) if asked.working else None,
    )


def _zone(asked: CuttingDataAsked) -> float:
    """Share of the speed that the condition leaves [-]."""
    if asked.condition == "scale":
        n, _C = wear.TAYLOR[asked.cutter.material]
        return float(wear.ROUGH_SHARE**n)
    return 1.0 if asked.condition == "sound" else data.ZONE_SHARE


class _Pushed(NamedTuple):
    forces: Forces | None = None
    notes: tuple[Note, ...] = ()
    sums: tuple[WorkingLine, ...] = ()


def _pushed(asked: CuttingDataAsked, setting: pushing.Setting) -> _Pushed:
    """Forces of the cut with their notes and sums, or nothing where no cut is told."""
    if asked.cut is None:
        return _Pushed()
    told, found = pushing.reckoned(asked.cut, setting)
    notes = tuple(pushing_words.notes(asked.cut, told, setting.f_z))
    return _Pushed(told, notes, tuple(pushing_sums.sums(asked.cut, told, found)) if asked.working else ())


def _about_hrc(asked: CuttingDataAsked, HB: float) -> float | None:
    if asked.hardness.scale == "HRC" and asked.hardness.value is not None:
        return asked.hardness.value
    return hardness.rockwell_from_brinell(HB) if 228 <= HB <= data.CARBIDE_END_HB else None


CUTTING_DATA = Operation(
    name="cutting_data",
    purpose=N_("Speed, feed, time and power for one cutter in one zone of the ring, in the machine's own steps."),
    asked=CuttingDataAsked,
    answered=CuttingDataAnswer,
    do=cutting_data,
    came_from={
        "HB": Came("hardness.value", "HB"),
        "HRC": Came("hardness.value", "HRC"),
        "HV": Came("hardness.value", "HV"),
        "HLD": Came("hardness.value", "HLD"),
        "skates": Came("hardness.skates_hrc", "HRC"),
        "bites": Came("hardness.bites_hrc", "HRC"),
        "D": Came("cutter.diameter_mm", "mm"),
        "z": Came("cutter.flutes"),
        "v": Came("cutter.diameter_mm"),
        "f_z": Came("cutter.diameter_mm", "mm"),
        "n": Came("cutter.diameter_mm"),
        "Q": Came("chip_section_mm2"),
        "length": Came("feed_travel_mm", "mm"),
        "v_f": Came("feeds_mm_min"),
        **pushing.CAME_FROM,
    },
)
