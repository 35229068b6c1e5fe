"""Which spaces of a round are sound, hard, welded or beside a weld, from the tooth map."""

from __future__ import annotations

from collections.abc import Sequence

from ringwright.cutting import data, hardness
from ringwright.errors import Refusal
from ringwright.job.document import Hardness, Map
from ringwright.job.sheet import Zone

#: Hard for a second lap: above what high speed steel is given for.
HARD_HB = data.HSS_END_HB
#: Two hard readings at most so far apart make what lies between them hard too (common practice, no source).
HARD_GAP = 10


def zones_of_spaces(map_: Map, N: int) -> dict[int, Zone]:
    """The zone of the space behind each tooth: the worse of the two teeth beside it.

    Weld where marked; one tooth either side of a weld is heat affected; hard where marked, where a reading is above
    `HARD_HB`, and between two such readings at most `HARD_GAP` teeth apart. ``soft`` by hand overrules a reading.
    """
    teeth: dict[int, Zone] = dict.fromkeys(range(1, N + 1), "sound")
    soft = {t for s in map_.stretches if s.kind == "soft" for t in _stretch(s.first, s.last, N)}
    for tooth in (_hard_by_reading(map_.hardness, N) - soft) | {
        t for s in map_.stretches if s.kind == "hard" for t in _stretch(s.first, s.last, N)
    }:
        teeth[tooth] = "hard"
    weld = {t for s in map_.stretches if s.kind == "weld" for t in _stretch(s.first, s.last, N)}
    weld |= {m.tooth for m in map_.marks if m.condition == "weld" and m.tooth <= N}
    for tooth in weld:
        for beside in (tooth % N + 1, (tooth - 2) % N + 1):
            if teeth[beside] == "sound":
                teeth[beside] = "heat_affected"
    for tooth in weld:
        teeth[tooth] = "weld"
    rank: dict[Zone, int] = {"sound": 0, "heat_affected": 1, "hard": 2, "weld": 3}
    return {t: max(teeth[t], teeth[t % N + 1], key=lambda zone: rank[zone]) for t in teeth}


def _stretch(first: int, last: int, N: int) -> tuple[int, ...]:
    """Teeth first..last in counting direction, past tooth N where last is before first."""
    if first > N or last > N:
        return tuple(t for t in range(first, last + 1) if t <= N)
    return tuple((first - 1 + k) % N + 1 for k in range((last - first) % N + 1))


def _hard_by_reading(readings: Sequence[Hardness], N: int) -> set[int]:
    read: dict[int, float] = {}
    for reading in readings:
        HB = brinell(reading)
        if HB is not None and reading.tooth <= N:
            read[reading.tooth] = max(HB, read.get(reading.tooth, 0.0))
    found = {tooth for tooth, HB in read.items() if HB > HARD_HB}
    measured = sorted(read)
    for one, other in zip(measured, measured[1:] + measured[:1]):
        if one in found and other in found and (other - one) % N <= HARD_GAP:
            found |= set(_stretch(one, other, N))
    return found


def brinell(reading: Hardness) -> float | None:
    """Likely Brinell of a reading; None where the value is off its scale's table."""
    try:
        return hardness.brinell_span(reading.value, reading.scale)[0]
    except Refusal:
        return None


def hardest(map_: Map, N: int, zone: Zone) -> tuple[Hardness | None, bool]:
    """The hardest reading in that zone; where none was taken there, the hardest of all, and then False beside it."""
    zones = zones_of_spaces(map_, N)
    readings = [r for r in map_.hardness if brinell(r) is not None and r.tooth <= N]
    here = [r for r in readings if zones[r.tooth] == zone or zones[(r.tooth - 2) % N + 1] == zone]
    return max(here or readings, key=lambda r: brinell(r) or 0.0, default=None), bool(here)
