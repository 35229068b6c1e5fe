"""``cutting_data``: speed, feed, time and power as a starting point, in the machine's own steps."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from ringwright import tables
from ringwright.cutting import data, hardness
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Given, Millimetres, Note, Operation, Record, WorkingLine
from ringwright.words import N_, _

phrases.learn(
    "hss_too_hard",
    N_("{value} is too hard for high speed steel."),
    N_("{low} to {high} (about 43 HRC) for high speed steel; above that carbide, or soften first."),
    N_("Choose a carbide cutter, or leave the hard teeth to a grinder."),
)


class CutterAsked(Record):
    """The cutter as measured."""

    kind: Literal["flat", "bull", "ball"] = "flat"
    diameter_mm: Millimetres = Field(ge=1, le=100)
    flutes: int = Field(ge=1, le=40)
    material: Literal["hss", "hss_cobalt", "carbide"]


class HardnessAsked(Record):
    """Hardness of the hardest zone that the cut meets, in the scale it was read."""

    value: float = Field(gt=0, le=1000)
    scale: Literal["HB", "HRC", "HV"]


class CuttingDataAsked(Asked):
    """Which cutter in how hard a tooth, and what the machine can be set to."""

    cutter: CutterAsked
    hardness: HardnessAsked
    condition: Literal["sound", "weld", "hard"] = "sound"
    engagement: Literal["heavy", "light"] = "heavy"
    machine_share: float | None = Field(None, gt=0, le=1.5, description="share of the table's speed this machine takes")
    speeds_rpm: tuple[float, ...] = Field((), max_length=60)
    feeds_mm_min: tuple[float, ...] = Field((), max_length=60)
    feed_travel_mm: Millimetres | None = Field(None, gt=0, le=10_000, description="way of one cut, run-in included")
    chip_section_mm2: float | None = Field(None, gt=0, le=10_000, description="metal in the way, seen along the feed")
    teeth: int | None = Field(None, ge=1, le=1000)


class Brinell(Given):
    """Brinell hardness as converted, with its spread."""

    likely: float
    low: float
    high: float
    about_hrc: float | None


class Stepped(Given):
    """What would be right, and what the machine can be set to (null: not told)."""

    ideal: float
    set: float | None


class Handling(Given):
    """One manual element per tooth."""

    what: str
    low_s: float
    likely_s: float
    high_s: float


class CuttingDataAnswer(Answered):
    """A starting point that the machinist turns down."""

    hardness_hb: Brinell
    speed_m_min: float
    speed_as_set_m_min: float
    spindle_rpm: Stepped
    feed_per_tooth_mm: float
    feed_per_tooth_as_set_mm: float
    feed_mm_min: Stepped
    cut_s: float | None
    handling: tuple[Handling, ...]
    handling_s: float
    tooth_s: float | None
    cutting_share: float | None
    round_minutes: float | None
    power_kw: float | None
    advice: tuple[str, ...]


_ELEMENTS = {
    "advance": N_("bring the table up to the cut"),
    "return_and_clear": N_("return and clear the chips"),
    "unlock_index_settle": N_("unlock, index, let it settle"),
    "lock_and_check": N_("lock and try it"),
    "look_and_deburr": N_("look, deburr, oil or air"),
    "mark_the_count": N_("mark the count"),
    "cutter_check_share": N_("look at the cutter every ten teeth, its share"),
}


def _handling() -> tuple[Handling, ...]:
    found = []
    for row in tables.load("handling"):
        likely, factor = float(row["likely_s"]), float(row["spread_factor"])
        what = _(_ELEMENTS[row["element"]])
        found.append(Handling(what=what, low_s=likely / factor, likely_s=likely, high_s=likely * factor))
    return tuple(found)


def printed_speed(material: str, HB: float, engagement: str = "heavy") -> float:
    """The table's speed for a cutter material in steel of a hardness [m/min]."""
    if material == "carbide":
        return data.carbide_speed(HB, engagement)
    return data.hss_speed(HB) * (data.COBALT_GAIN if material == "hss_cobalt" else 1.0)


def _share(asked: CuttingDataAsked) -> float:
    if asked.machine_share is not None:
        return asked.machine_share
    return data.MANUAL_SHARE if asked.cutter.material == "carbide" else 1.0


def _notes(
    asked: CuttingDataAsked, HB: float, rpm: Stepped, v_set: float, wanted: float, f_z: float
) -> tuple[Note, ...]:
    found = [
        Note(
            code="starting_point",
            text=_("A starting point. Look at the first five teeth, the chips and the edge, then turn it up or down."),
        )
    ]

    def note(code: str, text: str) -> None:
        found.append(Note(code=code, text=text))

    carbide = asked.cutter.material == "carbide"
    if "engagement" not in asked.model_fields_set:
        note("engagement_used", _("Taken as a heavy cut: the slow side of the table."))
    if "condition" not in asked.model_fields_set:
        note("condition_used", _("Taken as sound metal: no weld and no hard spot on the way in."))
    if asked.machine_share is None and carbide:
        note("machine_share_used", _("0.6 of the printed speed: the table was made for stiff machines with coolant."))
    if asked.condition != "sound":
        note("zone_share_used", _("0.6 of the speed again, because the cut enters through weld or hard spots."))
    if asked.hardness.scale != "HB":
        note("converted", _("Brinell from a table for plain and low-alloy steel, about 2 HRC either way."))
    if asked.condition == "weld":
        note("weld_uneven", _("A weld has soft metal beside a narrow band of up to 60 HRC. Go by the hardest reading."))
    if not carbide:
        note("feed_from_carbide", _("The feed per tooth is that of the carbide table; none was found by diameter."))
    if not 6 <= asked.cutter.diameter_mm <= 20:
        note("feed_carried_on", _("The feed table ends at 6 and 20 mm; beyond it, the same share of the diameter."))
    if carbide and not 125 <= HB <= data.CARBIDE_TABLE_HB:
        note("speed_carried_on", _("The speed table holds from 125 to 450 HB; outside it the line is carried on."))
    if not carbide and HB > data.HSS_DEAR_HB:
        note("hss_dear", _("Above 350 HB high speed steel hardly pays. Carbide lasts longer."))
    if rpm.set is not None and v_set > wanted * 1.005:
        note("slowest_too_fast", _("Even the slowest speed of the machine is faster than it should be."))
    if f_z < data.THINNEST_FEED:
        note("edge_rubs", _("At this feed step each edge takes less than 0.01 mm: it rubs. Take a slower spindle."))
    if asked.cutter.kind != "flat":
        note("rounded", _("A rounded end cuts on a smaller circle; its centre hardly cuts at all."))
    note("handling_used", _("Manual times are common practice of the trade, half to double."))
    return tuple(found)


def _advice(asked: CuttingDataAsked, HB: float, v_f: float) -> tuple[str, ...]:
    said = []
    if data.HARD_HB < HB:
        said.append(
            _(
                "Above 50 HRC: grind these teeth, or soften them, or leave them to the last lap with a fresh cutter, "
                "thin cuts and no stop in the cut. Expect chipped edges."
            )
        )
    elif data.HSS_END_HB < HB:
        said.append(_("Hard teeth: cut them in a second lap, in counting order, with a cutter kept for them."))
    if not asked.feeds_mm_min:
        said.append(_("By hand: about {seconds} s for every 10 mm.", seconds=f"{600 / v_f:.1f}"))
    if asked.cutter.material != "carbide":
        said.append(_("Oil it. Never let it rub: keep the feed on while it touches."))
    return tuple(said)


def cutting_data(asked: CuttingDataAsked) -> CuttingDataAnswer:
    """Speed, feed, time and power for one cutter in one zone."""
    HB, low, high = hardness.brinell_span(asked.hardness.value, asked.hardness.scale)
    zone = 1.0 if asked.condition == "sound" else data.ZONE_SHARE
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
    handling = _handling()
    by_hand = sum(h.likely_s for h in handling)
    tooth_s = None if cut_s is None else by_hand + cut_s
    power = None
    if asked.chip_section_mm2 is not None:
        U = data.unit_energy(HB) * data.feed_factor(f_z) * 1000
        power = data.milling_power(asked.chip_section_mm2 * v_f_set, U)
    sources = ["carbide-end-mill-data", "handling-elements", "common-practice"]
    if asked.cutter.material != "carbide":
        sources.insert(0, "hss-speeds-by-hb")
    if asked.hardness.scale != "HB":
        sources += ["hardness-din-50150", "hardness-a370"]
    if power is not None:
        sources += ["machinerys-handbook-31-power", "machinerys-handbook-feed-factor"]
    return CuttingDataAnswer(
        hardness_hb=Brinell(likely=HB, low=low, high=high, about_hrc=_about_hrc(asked, HB)),
        speed_m_min=v,
        speed_as_set_m_min=v_set,
        spindle_rpm=rpm,
        feed_per_tooth_mm=f_z,
        feed_per_tooth_as_set_mm=v_f_set / n_set / z,
        feed_mm_min=feed,
        cut_s=cut_s,
        handling=handling,
        handling_s=by_hand,
        tooth_s=tooth_s,
        cutting_share=None if cut_s is None or tooth_s is None else cut_s / tooth_s,
        round_minutes=None if tooth_s is None or asked.teeth is None else tooth_s * asked.teeth / 60,
        power_kw=power,
        advice=_advice(asked, HB, v_f_set),
        notes=_notes(asked, HB, rpm, v_set, v, v_f_set / n_set / z),
        sources=tuple(sources),
        working=_working(asked, v_table, share, zone, v, n, n_set, f_z, v_f) if asked.working else None,
    )


def _about_hrc(asked: CuttingDataAsked, HB: float) -> float | None:
    if asked.hardness.scale == "HRC":
        return asked.hardness.value
    return hardness.rockwell_from_brinell(HB) if 228 <= HB <= data.CARBIDE_END_HB else None


def _working(
    asked: CuttingDataAsked,
    v_table: float,
    share: float,
    zone: float,
    v: float,
    n: float,
    n_set: float,
    f_z: float,
    v_f: float,
) -> tuple[WorkingLine, ...]:
    D, z = asked.cutter.diameter_mm, asked.cutter.flutes
    source = "carbide-end-mill-data" if asked.cutter.material == "carbide" else "hss-speeds-by-hb"
    return (
        WorkingLine(
            symbol="v_c",
            name=_("cutting speed"),
            formula="v_c = v_table · share · zone",
            put_in=f"{v_table:.1f} · {share:g} · {zone:g}",
            value=v,
            unit="m/min",
            source=source,
        ),
        WorkingLine(
            symbol="n",
            name=_("spindle speed"),
            formula="n = 1000 v_c / (π D)",
            put_in=f"1000 · {v:.1f} / (π · {D:g})",
            value=n,
            unit="1/min",
            source="own-arithmetic",
        ),
        WorkingLine(
            symbol="v_f",
            name=_("table feed"),
            formula="v_f = n z f_z",
            put_in=f"{n_set:.0f} · {z} · {f_z:.3f}",
            value=v_f,
            unit="mm/min",
            source="own-arithmetic",
        ),
    )


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
        "D": Came("cutter.diameter_mm", "mm"),
        "z": Came("cutter.flutes"),
        "v": Came("cutter.diameter_mm"),
        "f_z": Came("cutter.diameter_mm", "mm"),
        "n": Came("cutter.diameter_mm"),
        "Q": Came("chip_section_mm2"),
        "length": Came("feed_travel_mm", "mm"),
        "v_f": Came("feeds_mm_min"),
    },
)
