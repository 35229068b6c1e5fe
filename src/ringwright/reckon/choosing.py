"""The ways to save a ring, side by side, each with what it needs, takes, risks and leaves; and against a new ring."""

from __future__ import annotations

from fractions import Fraction
from math import pi
from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright.errors import OutOfRange
from ringwright.estimating.spread import base_cost, price
from ringwright.reckon import choosing_words as words
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Given, Millimetres, Note, Operation, Record, WorkingLine
from ringwright.reckon.bearing import LookedFor, Part, crack_notes, looking_first, part
from ringwright.reckon.measuring import core_ring
from ringwright.reckon.ring import Ring
from ringwright.reckon.turning import Mark, Pattern, Seat, damage_of, pattern_of, reclock_cautions
from ringwright.repair import heat, judging
from ringwright.repair.heat import Preheat
from ringwright.repair.judging import Situation
from ringwright.repair.teeth import DamagedTooth
from ringwright.repair.times import WayName, elements
from ringwright.survey import reclocking
from ringwright.words import N_, _

_WINDOW = 3
_LEAD_COEF = 0.8
_LAND = 0.3
_MANGANESE = 0.7
_HARD = {"HRC": 40.0, "HV": 390.0, "HB": 370.0}

phrases.learn(
    "own_time_name",
    N_("That is not a part of any way's time."),
    N_("One of the parts that the answer's notes list, its p80_minutes not below its p50_minutes."),
    N_("Look at the names, and at the order of the two figures."),
)


class Hardness(Record):
    """One hardness reading, in the scale it was read."""

    tooth: int = Field(ge=1, le=1000)
    value: float = Field(gt=0, le=2000)
    scale: Literal["HB", "HRC", "HV", "HLD"]
    place: Literal["flank", "tip", "root", "rim", "end"] = "flank"
    method: str = Field("", max_length=60)


class Stretch(Record):
    """A run of teeth marked by hand; first and last inclusive, in counting direction."""

    first: int = Field(ge=1, le=1000)
    last: int = Field(ge=1, le=1000)
    kind: Literal["hard", "soft", "weld"]
    remark: str = Field("", max_length=200)


class Pinion(Record):
    """The mate: how it enters and what its tooth ends look like."""

    teeth: int | None = Field(None, ge=5, le=1000)
    end_land_mm: Millimetres | None = Field(None, ge=0, le=400)
    entry: Literal["thrown", "slid", "always"] | None = None
    teeth_in_mesh: int | None = Field(None, ge=1, le=50)


class Lead(Record):
    """The lead-in wanted."""

    lead_length_mm: Millimetres | None = Field(None, ge=0, le=1000)
    end_land_finished_mm: Millimetres | None = Field(None, ge=0, le=400)


class NewRing(Record):
    """What a new ring costs and how long it takes."""

    price: float | None = Field(None, ge=0, le=1e9)
    weeks: float | None = Field(None, ge=0, le=520)


class Rates(Record):
    """The shop's rates."""

    hour: float = Field(gt=0, le=1e6)
    contingency: float = Field(0.15, ge=0, le=5)
    margin: float = Field(0.2, ge=0, le=0.95)
    currency: str = Field("", max_length=10)


class Steel(Record):
    """Shares of the steel in mass per cent."""

    carbon_percent: float = Field(ge=0, le=1.5)
    manganese_percent: float | None = Field(None, ge=0, le=5)
    chromium_percent: float = Field(0.0, ge=0, le=5)
    molybdenum_percent: float = Field(0.0, ge=0, le=5)
    vanadium_percent: float = Field(0.0, ge=0, le=5)
    nickel_percent: float = Field(0.0, ge=0, le=5)
    copper_percent: float = Field(0.0, ge=0, le=5)


class OwnTime(Record):
    """The shop's own minutes for one part of the work."""

    element: str = Field(max_length=40)
    p50_minutes: float = Field(gt=0, le=100_000)
    p80_minutes: float = Field(gt=0, le=100_000)

    @model_validator(mode="after")
    def _known(self) -> Self:
        if self.element not in elements() or self.p80_minutes < self.p50_minutes:
            raise ValueError("own_time_name")
        return self


class WaysAsked(Asked):
    """The ring, its map, its mate, and what the shop wants."""

    ring: Ring
    marks: tuple[Mark, ...] = Field(max_length=4000)
    hardness: tuple[Hardness, ...] = Field((), max_length=2000)
    stretches: tuple[Stretch, ...] = Field((), max_length=200)
    stops_at: tuple[int, ...] = Field((), max_length=40)
    cracks_looked_for: LookedFor = "no"
    duty: Literal["ordinary", "holds_people_or_loads", "unknown"] = "unknown"
    seat: Seat | None = None
    pinion: Pinion = Pinion()
    end_land_mm: Millimetres | None = Field(None, ge=0, le=400, description="flat on the ring's tooth ends now")
    lead: Lead = Lead()
    new_ring: NewRing = NewRing()
    rates: Rates | None = None
    material: Literal["steel", "cast_steel", "cast_iron", "unknown"] = "unknown"
    weldable: Literal["yes", "no", "unknown"] = "unknown"
    steel: Steel | None = None
    tempered_at_c: float | None = Field(None, ge=100, le=700)
    times: tuple[OwnTime, ...] = Field((), max_length=20)


class Odds(Given):
    """Fiftieth and eightieth in a hundred."""

    p50: float
    p80: float


class Butting(Given):
    """Chance that the pinion's tooth ends meet the ring's, now and then."""

    before: float
    after: float


class PreheatAsked(Given):
    """What one source asks for."""

    source: str
    low_c: float
    high_c: float


class PreheatSaid(Given):
    """Heat before welding."""

    carbon_equivalent: float
    least_c: float
    most_c: float
    limit_c: float | None
    sources_differ: bool
    weld: bool
    asked_by: tuple[PreheatAsked, ...]
    says: str


class WayAnswer(Given):
    """One way."""

    way: WayName
    title: str
    open: bool
    closed_by: tuple[Note, ...]
    needs: tuple[Note, ...]
    hours: Odds
    price: Odds | None
    weeks: float | None
    strength: Part | None
    strength_at_stops: Part | None
    look_first: bool
    chance_of_butting: Butting | None
    teeth_touched: int
    turn_teeth: str | None
    preheat: PreheatSaid | None
    risks: tuple[Note, ...]
    cautions: tuple[Note, ...]
    why_ranked: str


class WaysAnswer(Answered):
    """All ways, best first; ``best`` is null where no verdict is given."""

    ways: tuple[WayAnswer, ...]
    best: WayName | None
    says: str
    who_decides: str | None
    look_first: bool
    damaged_teeth: int
    currency: str
    pattern: Pattern | None
    unknowns: tuple[Note, ...]


def _told(codes: tuple[str, ...], said: dict[str, str]) -> tuple[Note, ...]:
    return tuple(Note(code=code, text=_(said[code])) for code in codes)


def ways_to_save(asked: WaysAsked) -> WaysAnswer:
    """The ways to save this ring, best first."""
    notes: list[Note] = []
    damage = damage_of(asked.ring.teeth, asked.marks)
    _inside(asked)
    turn = _best_turn(asked)
    pre = _preheat(asked, notes)
    situation = _situation(asked, turn, pre, notes)
    judged = judging.judge(situation)
    ways = _ranked(asked, [_way(w, asked, turn, pre, situation) for w in judged])
    holds = asked.duty == "holds_people_or_loads"
    best = next((w.way for w in ways if w.open), None) if not holds else None
    why_not = looking_first(asked.cracks_looked_for, any(m.condition == "cracked" for m in asked.marks))
    notes += crack_notes(asked.cracks_looked_for)
    return WaysAnswer(
        ways=ways,
        best=best,
        says=_says(best, holds, why_not),
        who_decides=_(words.WHO_DECIDES) if holds else None,
        look_first=why_not is not None,
        damaged_teeth=len(situation.teeth),
        currency=asked.rates.currency if asked.rates else "",
        pattern=pattern_of(damage, asked.marks, asked.pinion.teeth),
        unknowns=_told(_unknown(asked), words.UNKNOWNS),
        notes=tuple(notes + _standing_notes(asked)),
        sources=_sources(asked, pre),
        working=_working(situation, ways, pre) if asked.working else None,
    )


def _inside(asked: WaysAsked) -> None:
    N = asked.ring.teeth
    for n, s in enumerate(asked.stops_at):
        if not 1 <= s <= N:
            raise OutOfRange("stops_at", s, 1, N, at=(n,))
    for n, h in enumerate(asked.hardness):
        if h.tooth > N:
            raise OutOfRange("hardness", h.tooth, 1, N, at=(n,))
    for n, stretch in enumerate(asked.stretches):
        if max(stretch.first, stretch.last) > N:
            raise OutOfRange("stretches", max(stretch.first, stretch.last), 1, N, at=(n,))


def _best_turn(asked: WaysAsked) -> tuple[reclocking.Position, bool] | None:
    """The best allowed turn and whether it is better than now; None where seat or stops are not known."""
    if asked.seat is None or not asked.stops_at:
        return None
    damage, window = (
        damage_of(asked.ring.teeth, asked.marks),
        min(asked.pinion.teeth_in_mesh or _WINDOW, asked.ring.teeth),
    )
    now = reclocking.position(damage, asked.stops_at, Fraction(0), window)
    found = reclocking.best_positions(damage, asked.stops_at, asked.seat.allowed(asked.ring.teeth), window)
    if not found:
        return now, False
    return found[0], (found[0].damage, found[0].worst) < (now.damage, now.worst)


def _hardened(asked: WaysAsked) -> bool:
    read = any(h.value >= _HARD.get(h.scale, float("inf")) for h in asked.hardness)
    return read or any(s.kind == "hard" for s in asked.stretches)


def _preheat(asked: WaysAsked, notes: list[Note]) -> tuple[float, Preheat] | None:
    steel = asked.steel
    if steel is None:
        return None
    Mn = steel.manganese_percent
    if Mn is None:
        Mn = _MANGANESE
        text = _("Manganese was not given: taken as {mn} %, usual in plain carbon steel.", mn=_MANGANESE)
        notes.append(Note(code="default_used", text=text))
    ce = heat.carbon_equivalent(
        steel.carbon_percent,
        Mn,
        steel.chromium_percent,
        steel.molybdenum_percent,
        steel.vanadium_percent,
        steel.nickel_percent,
        steel.copper_percent,
    )
    shrunk = asked.seat is not None and asked.seat.shrunk
    if _hardened(asked) and asked.tempered_at_c is None:
        text = _(
            "Teeth are hard and nobody knows at what heat they were tempered: {t:.0f} °C is taken as the limit (common"
            " practice).",
            t=heat.TEMPERED_UNKNOWN,
        )
        notes.append(Note(code="tempering_unknown", text=text))
    return ce, heat.preheat(ce, heat.heat_limit(_hardened(asked), asked.tempered_at_c, shrunk))


def _teeth(asked: WaysAsked) -> tuple[DamagedTooth, ...]:
    s_n = core_ring(asked.ring).s_n
    by_tooth: dict[int, list[Mark]] = {}
    for m in asked.marks:
        by_tooth.setdefault(m.tooth, []).append(m)
    welds = {n for s in asked.stretches if s.kind == "weld" for n in _run(s, asked.ring.teeth)}
    return tuple(_tooth(n, marks, s_n, n in welds) for n, marks in sorted(by_tooth.items()))


def _run(s: Stretch, N: int) -> list[int]:
    return [(s.first - 1 + n) % N + 1 for n in range((s.last - s.first) % N + 1)]


def _tooth(n: int, marks: list[Mark], s_n: float, weld: bool) -> DamagedTooth:
    lost = {"entry": 0.0, "far": 0.0}
    gone, measured = 0.0, True
    for m in marks:
        if m.condition in ("missing", "cracked", "weld"):
            continue
        if m.thickness_mm is not None:
            gone = max(gone, s_n - m.thickness_mm)
        if m.end != "whole" and m.amount_mm is not None:
            lost[m.end] = max(lost[m.end], m.amount_mm)
        elif m.end == "whole" and m.amount_mm is not None and m.condition == "worn":
            gone = max(gone, m.amount_mm)
        elif m.thickness_mm is None:
            measured = False
    kinds = {m.condition for m in marks}
    return DamagedTooth(
        tooth=n,
        lost_entry=lost["entry"],
        lost_far=lost["far"],
        gone=gone,
        measured=measured,
        missing="missing" in kinds,
        cracked="cracked" in kinds,
        weld="weld" in kinds or weld,
    )


def _situation(
    asked: WaysAsked,
    turn: tuple[reclocking.Position, bool] | None,
    pre: tuple[float, Preheat] | None,
    notes: list[Note],
) -> Situation:
    ring = core_ring(asked.ring)
    N = ring.z
    window = asked.pinion.teeth_in_mesh or _WINDOW
    near = {
        (round(s.place) - 1 + off) % N + 1
        for s in (turn[0].stops if turn else ())
        for off in range(-(window // 2), window // 2 + 1)
    }
    lead, land = _lead(asked, notes)
    full = ring.s_t
    land_now = _or_full(asked.end_land_mm, full, "end_land_mm", notes)
    return Situation(
        N=N,
        m_n=ring.m_n,
        p=ring.p_t,
        b=asked.ring.face_width_mm,
        helical=ring.beta != 0,
        teeth=_teeth(asked),
        looked=asked.cracks_looked_for != "no",
        holds=asked.duty == "holds_people_or_loads",
        land_now=land_now,
        land_after=min(land, land_now),
        land_pinion=_or_full(asked.pinion.end_land_mm, pi * ring.m_t / 2, "pinion.end_land_mm", notes),
        lead=lead,
        enters=asked.pinion.entry != "always",
        turns=None if asked.seat is None else asked.seat.turns != "no",
        turns_better=None if turn is None else turn[1],
        stops_teeth=tuple(sorted(near)),
        weldable={"yes": True, "no": False, "unknown": None}[asked.weldable],
        cast_iron=asked.material == "cast_iron",
        preheat=pre[1] if pre else None,
        new_price=asked.new_ring.price,
        own_times={t.element: (t.p50_minutes, t.p80_minutes) for t in asked.times},
    )


def _lead(asked: WaysAsked, notes: list[Note]) -> tuple[float, float]:
    lead, land = asked.lead.lead_length_mm, asked.lead.end_land_finished_mm
    if lead is None:
        lead = _LEAD_COEF * asked.ring.m_n
        text = _("Length of the lead-in was not given: {mm:.2f} mm (0.8 modules, common practice).", mm=lead)
        notes.append(Note(code="default_used", text=text))
    if land is None:
        land = _LAND
        text = _("Land to leave on the tooth ends was not given: {mm} mm (common practice).", mm=land)
        notes.append(Note(code="default_used", text=text))
    return lead, land


def _or_full(given: float | None, full: float, name: str, notes: list[Note]) -> float:
    if given is not None:
        return given
    text = _("{name} was not given: taken as the whole tooth, {mm:.2f} mm (no bevel left).", name=name, mm=full)
    notes.append(Note(code="default_used", text=text))
    return full


def _way(
    w: judging.Way,
    asked: WaysAsked,
    turn: tuple[reclocking.Position, bool] | None,
    pre: tuple[float, Preheat] | None,
    s: Situation,
) -> WayAnswer:
    hours = Odds(p50=w.hours.quantile(0.5), p80=w.hours.quantile(0.8))
    cautions = _told(w.cautions, words.CAUTIONS)
    if w.way == "reclock" and asked.seat is not None:
        cautions += reclock_cautions(asked.seat)
    return WayAnswer(
        way=w.way,
        title=_(words.TITLES[w.way]),
        open=w.open,
        closed_by=_told(w.closed_by, words.CLOSED),
        needs=_told(w.needs, words.NEEDS),
        hours=hours,
        price=_price(asked, hours, s.new_price if w.way == "new_ring" else 0.0),
        weeks=asked.new_ring.weeks if w.way == "new_ring" else None,
        strength=part(w.strength) if w.strength else None,
        strength_at_stops=part(w.strength_at_stops) if w.strength_at_stops else None,
        look_first=w.look_first,
        chance_of_butting=Butting(before=w.butting[0], after=w.butting[1]) if w.butting else None,
        teeth_touched=w.teeth_touched,
        turn_teeth=str(turn[0].turn) if w.way == "reclock" and turn and turn[1] else None,
        preheat=_preheat_said(pre) if w.way == "weld_and_recut" and pre else None,
        risks=_told(w.risks, words.RISKS),
        cautions=cautions,
        why_ranked="",
    )


def _price(asked: WaysAsked, hours: Odds, bought: float | None) -> Odds | None:
    if asked.rates is None or bought is None:
        return None
    rates = asked.rates
    p50, p80 = (
        price(base_cost(h, rates.hour, bought), rates.contingency, rates.margin) for h in (hours.p50, hours.p80)
    )
    return Odds(p50=p50, p80=p80)


def _preheat_said(pre: tuple[float, Preheat]) -> PreheatSaid:
    ce, p = pre
    if not p.weld:
        said = _("Do not weld: {least:.0f} °C is asked for and {limit:.0f} °C is all that ring and seat bear.")
    elif p.most <= 0:
        said = _("No preheat is asked for; weld dry and at room temperature.")
    elif p.differ:
        said = _("Sources differ; the hotter stands: {least:.0f} to {most:.0f} °C.")
    else:
        said = _("Preheat {least:.0f} to {most:.0f} °C.")
    return PreheatSaid(
        carbon_equivalent=ce,
        least_c=p.least,
        most_c=p.most,
        limit_c=p.limit,
        sources_differ=p.differ,
        weld=p.weld,
        asked_by=tuple(PreheatAsked(source=name, low_c=low, high_c=high) for name, low, high in p.asked),
        says=said.format(least=p.least, most=p.most, limit=p.limit or 0.0),
    )


def _ranked(asked: WaysAsked, ways: list[WayAnswer]) -> tuple[WayAnswer, ...]:
    """Open ways first; among them the cheaper, or the shorter where a price is missing."""
    priced = all(w.price is not None for w in ways if w.open)

    def cost(w: WayAnswer) -> float:
        if priced and w.price is not None:
            return w.price.p50
        return w.hours.p50 + (1e9 if w.way == "new_ring" else 0.0)

    rest = sorted(ways, key=lambda w: (not w.open, cost(w)))
    return tuple(w.model_copy(update={"why_ranked": _why(w, n, priced)}) for n, w in enumerate(rest))


def _why(w: WayAnswer, n: int, priced: bool) -> str:
    if not w.open:
        return _("After the open ways: {reason}", reason=w.closed_by[0].text)
    if w.way == "new_ring" and not priced:
        return _("Last of the open ways: its price is not known.")
    by = _("price") if priced else _("hours")
    if n == 0:
        return _("First of the open ways by {by}.", by=by)
    return _("Open; after those with less by {by}.", by=by)


def _says(best: WayName | None, holds: bool, why_not: str | None) -> str:
    if holds:
        return _("No verdict: this ring holds people or loads. {who}", who=_(words.WHO_DECIDES))
    said = _("Nothing known stands against: {title}.", title=_(words.TITLES[best])) if best else _("No way is open.")
    return f"{why_not} {said}" if why_not else said


def _unknown(asked: WaysAsked) -> tuple[str, ...]:
    teeth = _teeth(asked)
    worn = [m for m in asked.marks if m.condition == "worn" and m.end == "whole"]
    is_open = {
        "cracks": asked.cracks_looked_for == "no",
        "duty": asked.duty == "unknown",
        "steel": asked.steel is None and asked.material != "cast_iron",
        "hardness": not asked.hardness and not asked.stretches,
        "face_width": asked.ring.face_width_mm is None,
        "amounts": any(not t.measured for t in teeth),
        "three_heights": any(m.thickness_root_mm is None for m in worn),
        "stops": not asked.stops_at,
        "seat": asked.seat is None,
        "pinion_land": asked.pinion.end_land_mm is None and asked.pinion.entry != "always",
        "ring_land": asked.end_land_mm is None and asked.pinion.entry != "always",
        "new_price": asked.new_ring.price is None,
        "rates": asked.rates is None,
        "load": True,
        "pinion_state": True,
    }
    return tuple(code for code, unknown in is_open.items() if unknown)


def _standing_notes(asked: WaysAsked) -> list[Note]:
    found = [
        Note(
            code="times_common_practice",
            text=_(
                "Minutes are common practice, no source; put the shop's own in “times”. Parts: {names}.",
                names=", ".join(sorted(elements())),
            ),
        ),
        Note(
            code="not_certified",
            text=_("An open way is one against which nothing is known. It is no certificate; local codes come first."),
        ),
    ]
    if any(s.scale == "HLD" for s in asked.hardness):
        text = _("Leeb readings are not turned into another scale here: they do not decide whether teeth are hard.")
        found.append(Note(code="leeb_not_used", text=text))
    if any(m.thickness_root_mm is not None or m.thickness_tip_mm is not None for m in asked.marks):
        text = _(
            "What is left is judged here by the pitch line alone; ask tooth_strength for a tooth with three heights."
        )
        found.append(Note(code="pitch_line_only", text=text))
    fields: dict[str, object] = {
        "cracks_looked_for": "no",
        "duty": "unknown",
        "material": "unknown",
        "weldable": "unknown",
    }
    for name, value in fields.items():
        if name not in asked.model_fields_set:
            text = _("{name} was not given: taken as {value}.", name=name, value=value)
            found.append(Note(code="default_used", text=text))
    if asked.pinion.entry is None:
        text = _("How the pinion enters was not given: taken as thrown in.")
        found.append(Note(code="default_used", text=text))
    if asked.pinion.teeth_in_mesh is None and asked.stops_at:
        text = _("How many teeth the pinion can meet at a stop was not given: taken as {n}.", n=_WINDOW)
        found.append(Note(code="default_used", text=text))
    return found


def _sources(asked: WaysAsked, pre: tuple[float, Preheat] | None) -> tuple[str, ...]:
    found = ["common-practice", "worn-flank-elements", "mill-gear-tooth-breakage"]
    if asked.seat is not None and asked.seat.shrunk:
        found.append("flywheel-ring-ceiling")
    return tuple(found + [name for name, _low, _high in (pre[1].asked if pre else ())])


def _working(s: Situation, ways: tuple[WayAnswer, ...], pre: tuple[float, Preheat] | None) -> tuple[WorkingLine, ...]:
    lines = []
    butting = next((w.chance_of_butting for w in ways if w.chance_of_butting), None)
    if butting:
        lines.append(
            WorkingLine(
                symbol="P",
                name=_("chance of butting after"),
                formula="P = min(1, (e_ring + e_pinion) / p_t)",
                put_in=f"({s.land_after:.4g} + {s.land_pinion:.4g}) / {s.p:.6g}",
                value=butting.after,
                unit="",
                source="own-arithmetic",
            )
        )
    if pre:
        lines.append(
            WorkingLine(
                symbol="CE",
                name=_("carbon equivalent"),
                formula="CE = C + Mn/6 + (Cr + Mo + V)/5 + (Ni + Cu)/15",
                put_in=_("the shares given"),
                value=pre[0],
                unit="%",
                source="carbon-equivalent-bands",
            )
        )
    for w in ways:
        lines.append(
            WorkingLine(
                symbol="T50",
                name=_("hours, {title}", title=w.title),
                formula="lognormal with the sum of the parts' means and variances",
                put_in=f"N = {s.N}, damaged = {len(s.teeth)}",
                value=w.hours.p50,
                unit="h",
                source="common-practice",
            )
        )
    return tuple(lines)


WAYS_TO_SAVE = Operation(
    name="ways_to_save",
    purpose=N_("The ways to save a ring, side by side and against a new one."),
    asked=WaysAsked,
    answered=WaysAnswer,
    do=ways_to_save,
    came_from={
        "stops_at": Came("stops_at[{0}]"),
        "tooth": Came("marks[{0}].tooth"),
        "hardness": Came("hardness[{0}].tooth"),
        "stretches": Came("stretches[{0}]"),
        "damage": Came("marks"),
        "window": Came("pinion.teeth_in_mesh"),
        "land_ring": Came("end_land_mm", "mm"),
        "land_pinion": Came("pinion.end_land_mm", "mm"),
        "p": Came("ring", "mm"),
        "b": Came("ring.face_width_mm", "mm"),
        "z": Came("ring.teeth"),
        "m_n": Came("ring.module_mm", "mm"),
        "step": Came("seat.step_teeth"),
        "holes": Came("seat.bolt_holes"),
        "s_n": Came("ring.profile_shift"),
        "d_a": Came("ring.tip_diameter_mm", "mm"),
    },
)
