"""From a job's round to the requests about its cut: lead-in, speeds, forces, the life of the edge.

Nothing here is kept: what the kit and the log say today is put beside what was set out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from ringwright.job.document import Hardness, JobDocument, RoundPlan
from ringwright.job.events import Logged
from ringwright.job.kit import Axis, Cutter, Kit, Machine
from ringwright.job.sheet import RoundSheet, Zone
from ringwright.reckon.round_zones import brinell, hardest, zones_of_spaces

#: A holder is reckoned this long from where the cutter leaves it [mm].
HOLDER_LONG = 100.0
#: Way of the cutter through the air before it meets metal, added to a cut [mm].
RUN_IN = 2.0
#: Way of the knee over which an indicator shows the angle of the head [mm].
INDICATOR = 10.0
#: Zones of a round sheet as `cutter_life` names them.
_ZONES: dict[str, str] = {
    "sound": "sound",
    "hard": "hard",
    "weld": "weld_start_stop",
    "heat_affected": "heat_affected_edge",
}
#: What may be said of an edge, in an event's ``data.edge``.
SEEN = ("worn", "chipped", "gone", "changed", "fine")


def machine_of(kit: Kit, plan: RoundPlan) -> Machine | None:
    """The plan's machine, as the kit has it."""
    return next((m for m in kit.machines if m.name == plan.machine), None)


def cutter_of(kit: Kit, plan: RoundPlan) -> Cutter | None:
    """The plan's cutter, as the kit has it."""
    return next((c for c in kit.cutters if c.name == plan.cutter), None)


def infeed_motion(asked: dict[str, Any]) -> str | None:
    """The slide that sets the infeed of a `lead_in` request, None where the pose does not name it."""
    pose = asked.get("pose") or {}
    found: str | None = pose.get("depth_by") or (None if pose.get("depth") else pose.get("feed_by"))
    return found


def axis_of(machine: Machine | None, motion: str | None) -> Axis | None:
    """The axis of the machine that makes that motion."""
    if machine is None or not motion:
        return None
    return next((axis for axis in machine.axes if axis.name == motion[1:]), None)


def _scale(axis: Axis | None) -> dict[str, Any] | None:
    """AXIS of `lead_in`: how that axis is read."""
    if axis is None:
        return None
    if axis.readout:
        return {"readout": True, "readout_step_mm": axis.readout_step_mm or 0.01}
    return {"mm_per_turn": axis.mm_per_turn, "divisions": max(round(axis.mm_per_turn / axis.mm_per_division), 1)}


def completed(asked: dict[str, Any] | None, plan: RoundPlan) -> dict[str, Any] | None:
    """A `lead_in` request with the plan's passes; indicator and hand of the cutter are said where they are shown."""
    if asked is None:
        return None
    return {"passes": plan.passes, "indicator_travel_mm": INDICATOR, "hand_of_cutter": "right", **asked}


def lead_in_of(document: JobDocument, kit: Kit, plan: RoundPlan) -> dict[str, Any] | None:
    """What `lead_in` is asked for a round: as set out, with the machine's scale, the passes and the holder."""
    if plan.lead_in is None:
        return None
    asked = {**(completed(plan.lead_in, plan) or {}), "working": True}
    if "ring" not in asked and document.find_out.ring is not None:
        asked["ring"] = document.find_out.ring
    scale = _scale(axis_of(machine_of(kit, plan), infeed_motion(asked)))
    if scale is not None:
        asked.setdefault("axis", scale)
    return {**asked, **_behind(asked, cutter_of(kit, plan))}


def _behind(asked: dict[str, Any], cutter: Cutter | None) -> dict[str, Any]:
    """Shank and holder, where the kit has them measured and the cutter is still the one set out."""
    if cutter is None or cutter.holder_diameter_mm is None or cutter.flute_length_mm is None:
        return {}
    there = asked.get("cutter") or {}
    if (
        "behind" in asked
        or there.get("kind") not in ("flat", "bull", "ball")
        or there["diameter_mm"] != cutter.diameter_mm
    ):
        return {}
    shank = cutter.stick_out_mm - cutter.flute_length_mm
    parts = [{"name": "holder", "length_mm": HOLDER_LONG, "diameter_mm": cutter.holder_diameter_mm}]
    if shank > 0:
        thick = cutter.shank_diameter_mm or cutter.diameter_mm
        parts.insert(0, {"name": "shank", "length_mm": shank, "diameter_mm": thick})
    return {"cutter": {**there, "flute_length_mm": cutter.flute_length_mm}, "behind": parts}


def speed_of(cutter: Cutter, machine: Machine | None, reading: Hardness, zone: Zone) -> dict[str, Any]:
    """What `cutting_data` is asked for one zone of a round."""
    return {
        "cutter": {
            "kind": cutter.end,
            "diameter_mm": cutter.diameter_mm,
            "flutes": cutter.flutes,
            "material": cutter.material,
        },
        "hardness": {"value": reading.value, "scale": reading.scale},
        "condition": {"sound": "sound", "weld": "weld"}.get(zone, "hard"),
        "speeds_rpm": list(machine.speeds_rpm) if machine else [],
        "feeds_mm_min": list(machine.feeds_mm_min) if machine else [],
    }


def depth_locked(plan: RoundPlan) -> bool:
    """Whether the depth is set and locked and each pass runs along the feed."""
    pose = (plan.lead_in or {}).get("pose") or {}
    return pose.get("depth_by") is not None or pose.get("depth") is not None


def travel_mm(plan: RoundPlan, infeeds_mm: Sequence[float], lead_mm: float) -> float:
    """Way of the cutter at one space, its run-in included [mm]; ``infeeds_mm``: from touch-off to the end of each pass.

    Along the infeed each pass goes from touch-off to its depth; with the depth locked each runs by lead and diameter.
    """
    if not depth_locked(plan):
        return sum(infeeds_mm) + RUN_IN * len(infeeds_mm)
    across = lead_mm + float(((plan.lead_in or {}).get("cutter") or {}).get("diameter_mm", 0.0))
    return len(infeeds_mm) * (across + RUN_IN)


def forces_of(
    document: JobDocument, kit: Kit, plan: RoundPlan, travel: float | None, more: dict[str, Any] | None = None
) -> dict[str, Any] | None:
    """What `cutting_data` is asked with the cut of a round in sound metal; None without cutter, cut or hardness."""
    cutter, N = cutter_of(kit, plan), _teeth(document)
    reading, _here = hardest(document.map, N, "sound")
    if cutter is None or plan.lead_in is None or reading is None:
        return None
    machine, lead = machine_of(kit, plan), lead_in_of(document, kit, plan) or {}
    held = {
        "stick_out_mm": cutter.stick_out_mm,
        "flute_length_mm": cutter.flute_length_mm,
        "shank_diameter_mm": cutter.shank_diameter_mm,
    }
    cut = {
        "ring": lead["ring"],
        "cutter": plan.lead_in["cutter"],
        "pose": plan.lead_in["pose"],
        "target": plan.lead_in["target"],
        "held": {name: value for name, value in held.items() if value is not None},
        **({"motor": {"power_kw": machine.power_kw}} if machine is not None else {}),
        **({"runout_mm": cutter.runout_mm} if cutter.runout_mm is not None else {}),
        **(more or {}),
    }
    asked = {**speed_of(cutter, machine, reading, "sound"), "cut": cut, "working": True}
    return asked if travel is None else {**asked, "feed_travel_mm": travel}


def _teeth(document: JobDocument) -> int:
    return int((document.find_out.ring or {}).get("teeth") or document.find_out.teeth or 1000)


# -- the life of the edge -------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Order:
    """The teeth of a round in the order of cutting, with their zones; ``laps``: hard ones in a second lap."""

    teeth: tuple[int, ...]
    zones: tuple[Zone, ...]
    hard_last: bool

    def place(self, tooth: int) -> int | None:
        """Which one it is in the order, from 1; None when the round leaves it out."""
        return self.teeth.index(tooth) + 1 if tooth in self.teeth else None


def order_of(document: JobDocument, plan: RoundPlan, sheet: RoundSheet | None = None) -> Order:
    """The order of a frozen or made sheet, else counting order, the hard ones last where the plan says so."""
    if sheet is not None:
        return Order(sheet.order, tuple(r.zone for r in sheet.rows), any(r.lap > 1 for r in sheet.rows))
    zones = zones_of_spaces(document.map, _teeth(document))
    teeth = sorted(t for t in (plan.teeth or zones) if t in zones)
    sound = [t for t in teeth if zones[t] == "sound"]
    laps = plan.hard_last and 0 < len(sound) < len(teeth)
    ordered = [*sound, *(t for t in teeth if zones[t] != "sound")] if laps else teeth
    return Order(tuple(ordered), tuple(zones[t] for t in ordered), laps)


@dataclass(frozen=True, slots=True)
class SeenEdge:
    """What the log says of the edge after one tooth."""

    tooth: int
    what: str
    seq: int


def seen_in(log: Sequence[Logged], order: Order) -> tuple[SeenEdge, ...]:
    """What was said of the edge, forward in the order of cutting; then that it did the teeth since.

    An event counts that carries ``data.edge`` (one of `SEEN`) and was not undone; without a tooth it is about the last
    one done. What goes back in the order is left out.
    """
    undone = {one.event.data.get("undoes") for one in log if one.event.kind == "undone"}
    found: list[SeenEdge] = []
    last = 0
    for one in sorted(log, key=lambda x: x.seq):
        event = one.event
        if event.event_id in undone:
            continue
        place = order.place(event.tooth) if event.tooth is not None else (last or None)
        if event.kind == "done" and place is not None:
            last = max(last, place)
        edge = event.data.get("edge")
        reached = order.place(found[-1].tooth) or 0 if found else 0
        if edge in SEEN and place is not None and place >= max(reached, 1):
            found.append(SeenEdge(order.teeth[place - 1], str(edge), one.seq))
    reached = order.place(found[-1].tooth) or 0 if found else 0
    if last > reached:
        found.append(SeenEdge(order.teeth[last - 1], "fine", 0))
    return tuple(found)


def life_of(
    document: JobDocument,
    cutter: Cutter,
    order: Order,
    speed_m_min: float,
    seconds_per_tooth: float,
    seen: Iterable[SeenEdge] = (),
) -> dict[str, Any]:
    """What `cutter_life` is asked; teeth are numbered by their place in the order of cutting, from 1.

    `order` may step over spaces, and the operation cuts by number: with places for numbers both are the same.
    """
    history = {"minutes": cutter.minutes} if cutter.minutes is not None else {}
    lives = {"edges_per_cutter": cutter.edges, **({"runout_mm": cutter.runout_mm} if cutter.runout_mm else {})}
    return {
        "stretches": list(_stretches(document, order)),
        "cutter": {"material": cutter.material, **lives},
        "speed_m_min": speed_m_min,
        "seconds_per_tooth": seconds_per_tooth,
        "laps": "hard_last" if order.hard_last else "as_counted",
        **({"history": history} if history else {}),
        "seen": [{"tooth": order.place(one.tooth), "what": one.what} for one in seen],
        "working": True,
    }


def _stretches(document: JobDocument, order: Order) -> Iterable[dict[str, Any]]:
    N, first = _teeth(document), 0
    for i, zone in enumerate(order.zones):
        if i + 1 < len(order.zones) and order.zones[i + 1] == zone:
            continue
        reading, here = hardest(document.map, N, zone)
        HB = brinell(reading) if reading is not None and here else None
        known = {"hardness_hb": min(max(HB, 80.0), 615.0)} if HB is not None else {}
        yield {"first": first + 1, "last": i + 1, "zone": _ZONES[zone], **known}
        first = i + 1
