"""The lead-in that the mate asks for: flank, length, lands, and the chance of butting before and after."""

from __future__ import annotations

from math import radians, tan

from ringwright.gears import entering
from ringwright.gears.ring import RingGeometry
from ringwright.reckon.base import Note, WorkingLine
from ringwright.reckon.meshing_models import BevelFlank, Chance, Entry, LeadInAsked
from ringwright.repair.butting import chance_of_butting
from ringwright.words import _


def lead_in_asked(
    entry: Entry, ring: RingGeometry, mate: RingGeometry, faces: tuple[float | None, float | None]
) -> tuple[LeadInAsked, list[Note]]:
    """What the mate asks for, and every assumption as a note; ``faces`` are those of ring and mate [mm]."""
    flanks = entering.flanks_to_bevel(entry.how, entry.loaded_flank)
    engaged = entering.engaged_face(entry.throw_mm, entry.gap_mm, *faces)
    now, on_mate = _land_now(entry, ring), _mate_land(entry, mate)
    most = None if engaged is None or not flanks else entering.most_lead(max(0.0, engaged), flanks, entry.loaded_flank)
    lead, notes = _lead(entry, ring, now, flanks, most)
    slope = tan(radians(entry.bevel_angle_deg))
    after = entering.land_left(now, lead, slope, len(flanks)) if flanks else now
    bevel = entry.mate_bevel.length_mm if entry.mate_bevel else 0.0
    notes += _entry_notes(entry, engaged)
    bearing = None
    if engaged is not None:
        bearing = entering.bearing_face(max(0.0, engaged), lead, bevel, flanks, entry.loaded_flank)
    chance = None
    if entry.how != "always":
        before, then = (chance_of_butting(land, on_mate, ring.p_t) for land in (now, after))
        chance = Chance(before=before, after=then)
    return LeadInAsked(
        flanks=tuple(BevelFlank(flank=f, in_lead_in="minus" if f == "plus" else "plus") for f in flanks),
        lead_length_mm=lead,
        most_lead_mm=most,
        end_land_now_mm=now,
        end_land_finished_mm=after,
        mate_end_land_mm=on_mate,
        engaged_face_mm=engaged,
        bearing_face_mm=bearing,
        chance_of_butting=chance,
    ), notes


def _land_now(entry: Entry, ring: RingGeometry) -> float:
    """Land on the ring's ends now: as given, or the whole tooth, sharp-ended [mm]."""
    return ring.s_t if entry.ring_end_land_mm is None else min(entry.ring_end_land_mm, ring.p_t)


def _mate_land(entry: Entry, mate: RingGeometry) -> float:
    """Land on the mate's ends: as given, or its tooth less its bevels [mm]."""
    if entry.mate_end_land_mm is not None:
        return min(entry.mate_end_land_mm, mate.p_t)
    bevel = entry.mate_bevel
    if bevel is None:
        return mate.s_t
    return entering.land_left(
        mate.s_t, bevel.length_mm, tan(radians(bevel.angle_deg)), 2 if bevel.flanks == "both" else 1
    )


def _lead(
    entry: Entry, ring: RingGeometry, now: float, flanks: tuple[entering.Flank, ...], most: float | None
) -> tuple[float, list[Note]]:
    """Length of the lead-in: as asked, else what the wanted land needs, no longer than leaves face to work."""
    if not flanks:
        return 0.0, []
    if entry.lead_length_mm is not None:
        over = most is not None and entry.lead_length_mm > most
        text = _("The lead asked for is longer than leaves enough face to work (common practice, no source).")
        return entry.lead_length_mm, [Note(code="lead_too_long", text=text)] if over else []
    notes, wanted = [], entry.end_land_wanted_mm
    if wanted is None:
        wanted = entering.LEAST_LAND * ring.p_t
        text = _("Land to leave not given: {land} mm, a fiftieth of the pitch, taken (common practice, no source).",
                 land=f"{wanted:.2f}")  # fmt: skip
        notes.append(Note(code="default_used", text=text))
    lead = entering.lead_for_land(now, wanted, tan(radians(entry.bevel_angle_deg)), len(flanks))
    if most is not None and lead > most:
        text = _(
            "The land wanted needs a lead of {lead} mm; held at {most} mm, so that face is left to work (common "
            "practice, no source).", lead=f"{lead:.2f}", most=f"{most:.2f}",
        )  # fmt: skip
        notes.append(Note(code="lead_held_short", text=text))
        lead = most
    return lead, notes


def _entry_notes(entry: Entry, engaged: float | None) -> list[Note]:
    notes = []
    if entry.how == "always":
        text = _("Always in mesh: no lead-in is asked for; break the edges only.")
        return [Note(code="no_lead_in_needed", text=text)]
    if entry.loaded_flank is None:
        text = _("Which flank carries the load was not given: both flanks taken. Look for the polished one.")
        notes.append(Note(code="loaded_flank_unknown", text=text))
    elif entry.how != "slid" and entry.loaded_flank != "both":
        text = _("Bevel the idle flank, where the mate slips in; a bevel on the loaded flank takes away what carries.")
        notes.append(Note(code="bevel_idle_flank", text=text))
    if entry.how == "thrown_turning":
        text = _(
            "Thrown in while turning: the ends grind before they fall in; see to it that the mate is thrown at rest."
        )
        notes.append(Note(code="thrown_turning", text=text))
    if entry.ring_end_land_mm is None:
        text = _("Land on the ring’s ends not given: the whole tooth taken.")
        notes.append(Note(code="default_used", text=text))
    if entry.mate_end_land_mm is None and entry.mate_bevel is None:
        text = _("Land and bevel on the mate’s ends not given: its whole tooth taken.")
        notes.append(Note(code="default_used", text=text))
    if "bevel_angle_deg" not in entry.model_fields_set:
        notes.append(Note(code="default_used", text=_("Angle of the lead-in not given: 45° to the tooth taken.")))
    if engaged is None:
        text = _("Neither throw nor face widths given: how long a lead leaves enough face is not known.")
        notes.append(Note(code="engaged_unknown", text=text))
    elif engaged <= 0:
        text = _("By the throw and the gap given the mate does not reach the ring.")
        notes.append(Note(code="throw_too_short", text=text))
    text = _("Mark which face the mate enters from: a lead-in on the wrong face after turning over wrecks pinions.")
    return [*notes, Note(code="entry_face", text=text)]


def lead_in_working(entry: Entry, found: LeadInAsked, pitch: float) -> tuple[WorkingLine, ...]:
    """The lead-in's sums with their numbers put in; ``pitch`` is the circular pitch in the end face [mm]."""
    n, angle = len(found.flanks), f"{entry.bevel_angle_deg:g}°"
    now, after, mate = found.end_land_now_mm, found.end_land_finished_mm, found.mate_end_land_mm
    sums = []
    if n:
        put_in = f"{now:.4f} - {n} · {found.lead_length_mm:.4f} · tan {angle}"
        sums.append(("e", _("end land after"), "e - n l tan γ", put_in, after, "mm"))
    if found.engaged_face_mm is not None and entry.throw_mm is not None:
        put_in = f"min({entry.throw_mm:g} - {entry.gap_mm or 0:g}, faces)"
        sums.append(("b_w", _("face in mesh"), "min(throw - gap, faces)", put_in, found.engaged_face_mm, "mm"))
    chance = found.chance_of_butting
    if chance is not None:
        for name, land, value in ((_("before"), now, chance.before), (_("after"), after, chance.after)):
            put_in = f"min(1, ({land:.4f} + {mate:.4f}) / {pitch:.4f})"
            label = _("chance of butting, {name}", name=name)
            sums.append(("P", label, "min(1, (e_ring + e_mate) / p)", put_in, value, ""))
    return tuple(
        WorkingLine(symbol=sy, name=n, formula=f, put_in=p, value=v, unit=u, source="common-practice")
        for sy, n, f, p, v, u in sums
    )
