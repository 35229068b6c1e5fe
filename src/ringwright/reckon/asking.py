"""From a job to the requests of the operations that its stages ask."""

from __future__ import annotations

from typing import Any

from ringwright.job.document import FindOut, JobDocument, Map
from ringwright.job.kit import Kit


def identify_of(found: FindOut, can_read: list[str] | None = None) -> dict[str, Any]:
    """What ``identify`` is asked; ``can_read``: the kinds that the shop's instruments take, for the next reading."""
    mate = found.mate or {}
    beside = {
        "prior": found.prior,
        "origin": found.origin,
        "can_read": can_read,
        "mate": {"teeth": mate["teeth"], "readings": [reading.asked for reading in found.mate_readings]}
        if found.mate_readings and mate.get("teeth")
        else None,
    }
    return {
        "kind": found.kind,
        "teeth": found.teeth,
        "teeth_sure": found.teeth_sure,
        "readings": [reading.asked for reading in found.readings],
        **{name: value for name, value in beside.items() if value is not None},
    }


def marks_of(of: Map) -> list[dict[str, Any]]:
    """The marks as ``ways_to_save`` and ``reclock`` take them."""
    return [mark.model_dump(mode="json", exclude={"remark"}, exclude_none=True) for mark in of.marks]


def ways_to_save_of(job: JobDocument, kit: Kit) -> dict[str, Any]:
    """What ``ways_to_save`` is asked; what the job itself was told under Decide goes before the kit."""
    of, mate = job.map, job.find_out.mate or {}
    entry = "thrown" if mate.get("enters") == "thrown_turning" else mate.get("enters")
    pairs = (("teeth", mate.get("teeth")), ("end_land_mm", mate.get("end_land_mm")), ("entry", entry))
    return {
        "ring": job.find_out.ring,
        "marks": marks_of(of),
        "hardness": [reading.model_dump(mode="json") for reading in of.hardness],
        "stretches": [stretch.model_dump(mode="json") for stretch in of.stretches],
        "stops_at": list(of.stops_at),
        "cracks_looked_for": of.cracks_looked_for,
        "duty": job.duty,
        "pinion": {name: value for name, value in pairs if value is not None},
        "rates": kit.rates.model_dump(mode="json"),
        **job.decide.asked,
    }
