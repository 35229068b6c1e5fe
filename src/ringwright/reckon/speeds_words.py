"""What `cutting_data` says beside its figures: manual elements, notes, advice, the sums shown."""

from __future__ import annotations

from ringwright import tables
from ringwright.cutting import data
from ringwright.reckon.base import Note, WorkingLine
from ringwright.reckon.speeds_models import CuttingDataAsked, Handling, Stepped
from ringwright.words import N_, _

_ELEMENTS = {
    "advance": N_("bring the table up to the cut"),
    "return_and_clear": N_("return and clear the chips"),
    "unlock_index_settle": N_("unlock, index, let it settle"),
    "lock_and_check": N_("lock and try it"),
    "look_and_deburr": N_("look, deburr, oil or air"),
    "mark_the_count": N_("mark the count"),
    "cutter_check_share": N_("look at the cutter every ten teeth, its share"),
}


def handled() -> tuple[Handling, ...]:
    found = []
    for row in tables.load("handling"):
        likely, factor = float(row["likely_s"]), float(row["spread_factor"])
        what = _(_ELEMENTS[row["element"]])
        found.append(Handling(what=what, low_s=likely / factor, likely_s=likely, high_s=likely * factor))
    return tuple(found)


def notes(
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
    if asked.condition == "scale":
        note("scale_used", _("Scale halves the life (memory): the speed is taken down so far that it lasts as long."))
    elif asked.condition != "sound":
        note("zone_share_used", _("0.6 of the speed again, because the cut enters through weld or hard spots."))
    if asked.hardness.scale == "HLD":
        note(
            "rebound_reads_low",
            _(
                "Rebound on a tooth reads low: it is thin and near an edge. Test the rim beside it, heavy or coupled. "
                "The table is recalled; prove the tester on a piece of known hardness."
            ),
        )
    if asked.hardness.scale == "file":
        note("file_interval", _("Files give an interval, about 2 HRC wider each way; its hard end is planned for."))
    elif asked.hardness.scale != "HB":
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
    if asked.cutter.rounded:
        note("rounded", _("A rounded end cuts on a smaller circle; its centre hardly cuts at all."))
    note("handling_used", _("Manual times are common practice of the trade, half to double."))
    return tuple(found)


def advice(asked: CuttingDataAsked, HB: float, v_f: float) -> tuple[str, ...]:
    said = []
    if data.HARD_HB < HB or asked.hardness.skates_hrc is not None:
        said.append(
            _(
                "Above 50 HRC, or where a file skates: grind these teeth, or soften them, or leave them to the last "
                "lap with a fresh cutter, thin cuts and no stop in the cut. Expect chipped edges."
            )
        )
    elif data.HSS_END_HB < HB:
        said.append(_("Hard teeth: cut them in a second lap, in counting order, with a cutter kept for them."))
    if not asked.feeds_mm_min:
        said.append(_("By hand: about {seconds} s for every 10 mm.", seconds=f"{600 / v_f:.1f}"))
    if asked.cutter.material != "carbide":
        said.append(_("Oil it. Never let it rub: keep the feed on while it touches."))
    return tuple(said)


def working(
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
