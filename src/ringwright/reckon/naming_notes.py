"""What is said beside the names of a ring: defaults used, where the weights come from, contradictions."""

from __future__ import annotations

from dataclasses import dataclass

from ringwright import identify as core
from ringwright.reckon.base import Note
from ringwright.reckon.naming_models import UNMEASURED, IdentifyAsked, ReadingAsked
from ringwright.reckon.naming_words import chance_of_smooth, label_of, listed, name_of, shown, wear_sign
from ringwright.words import _

_THICKNESS = frozenset({"span", "over_pins", "between_pins", "chordal_thickness"})


@dataclass(frozen=True)
class Told:
    """The request in core terms: readings with their places in the request, what was tried, segments, mate."""

    s: int
    readings: tuple[core.Reading, ...]
    places: tuple[int, ...]
    tried: tuple[core.Tried, ...]
    segments: core.Segments | None
    mate: core.Mate | None
    prior: core.Prior


def notes_of(asked: IdentifyAsked, told: Told, ranked: core.Ranked) -> tuple[Note, ...]:
    """All notes."""
    notes = [*_defaults_of_readings(asked.readings, mate=False)]
    if asked.mate is not None:
        notes += _defaults_of_readings(asked.mate.readings, mate=True)
        if asked.mate.kind is None:
            notes.append(Note(code="default_mate_kind", text=_("The mate is taken as an external gear.")))
    notes += [*_defaults(asked, told, ranked), *_weights(asked, told), *_contradictions(asked, told, ranked)]
    return tuple(notes)


def _defaults_of_readings(readings: tuple[ReadingAsked, ...], *, mate: bool) -> list[Note]:
    notes = []
    for n, r in enumerate(readings):
        if r.what in UNMEASURED:
            continue
        unit = "°" if r.what == "helix_angle" else "mm"
        place = {"n": n + 1, "what": name_of(r.what) if not mate else _("{what} of the mate", what=name_of(r.what))}
        if r.uncertainty is None:
            u = core.default_uncertainty()[r.what]
            text = _(
                "Reading {n}, {what}: uncertainty taken as {u:g} {unit} (common practice).", u=u, unit=unit, **place
            )
            notes.append(Note(code="default_uncertainty", text=text))
        bare = (r.value, r.uncertainty, r.pin_diameter, r.height, r.tape_thickness)
        if r.unit is None and any(v is not None and not isinstance(v, str) for v in bare):
            text = _("Reading {n}, {what}: bare numbers taken as {unit}.", unit=unit, **place)
            notes.append(Note(code="default_unit", text=text))
        if r.what in ("tip_girth", "tip_arc") and r.tape_thickness is None:
            text = _(
                "Reading {n}, {what}: tape thickness taken as nought; a tape adds its thickness to the diameter.",
                **place,
            )
            notes.append(Note(code="default_tape_thickness", text=text))
    return notes


def _defaults(asked: IdentifyAsked, told: Told, ranked: core.Ranked) -> list[Note]:
    notes = []
    if asked.teeth_sure is None:
        notes.append(Note(code="default_teeth_sure", text=_("The tooth count is taken as sure.")))
    if asked.prior is None:
        text = _("Weights before the readings are those of the tables: common practice, no source.")
        notes.append(Note(code="default_prior", text=text))
    angles = [*told.readings, *(told.mate.readings if told.mate else ())]
    if not any(r.is_angle for r in angles):
        text = _("No helix angle was read: the teeth are taken as straight.")
        notes.append(Note(code="taken_as_straight", text=text))
    elif any(c.names[0].beta for c in ranked.candidates) and asked.hand is None:
        text = _("A helical ring needs its hand before it can be used further: look at the ring.")
        notes.append(Note(code="hand_needed", text=text))
    if not any(r.worn for r in told.readings):
        text = _("No reading is marked as worn: only the thinning and topping of making are allowed for.")
        notes.append(Note(code="taken_as_unworn", text=text))
    if asked.teeth % 2 and any(r.what == "tip_diameter" for r in told.readings):
        text = _("Odd count: no tip faces a tip. The tip diameter is the caliper reading divided by cos(90°/N).")
        notes.append(Note(code="odd_count", text=text))
    return notes


def _weights(asked: IdentifyAsked, told: Told) -> list[Note]:
    """The weights that the machine's origin gives, in numbers, and what overrules them."""
    if asked.origin is None:
        return []
    notes = []
    origin = asked.origin.as_core()
    shares = core.system_weights(told.prior)
    words = {
        "module": _("module"),
        "diametral_pitch": _("diametral pitch"),
        "circular_pitch": _("circular pitch"),
        "combination": _("combination pitch"),
    }
    listed = ", ".join(f"{words[name]} {share:.0%}" for name, share in shares.items())
    text = _(
        "Weights before the readings, the machine's origin put in (common practice, no source): {listed}.",
        listed=listed,
    )
    notes.append(Note(code="origin_weights", text=text))
    for (system, angle), factor in core.factors(origin).items():
        if angle is not None:
            text = _(
                "{angle:g}° with {system} weighs {factor:g} times as much.",
                angle=angle,
                system=words[system],
                factor=factor,
            )
            notes.append(Note(code="origin_weights", text=text))
    if asked.origin.made_in and asked.origin.built_year is None:
        text = _("The year of building is not given: the weights are those for an unknown one.")
        notes.append(Note(code="default_built_year", text=text))
    if asked.origin.strength is None:
        text = _("The origin counts as the table has it (strength 1); 0 ignores it.")
        notes.append(Note(code="default_origin_strength", text=text))
    if told.prior.systems or told.prior.angles:
        text = _("Weights that are given stand; the origin does not change them.")
        notes.append(Note(code="origin_overruled", text=text))
    return notes


def _contradictions(asked: IdentifyAsked, told: Told, ranked: core.Ranked) -> list[Note]:
    """What does not go together, said aloud."""
    notes = [*_count_said_twice(asked, told)]
    if ranked.other_probability > 0.5:
        text = _(
            "No standard ring explains these readings. Look at the units and the count first. The ring can still be "
            "copied as found: pitch and depth as measured, the space traced at three to five depths, a tool ground to "
            "a sound space."
        )
        notes.append(Note(code="none_fits", text=text))
    if not ranked.candidates:
        return notes
    best = ranked.candidates[0]
    notes += _names_of_the_first(best)
    if best.tied_with:
        text = _(
            "Not settled: {first} stands first, but the readings do not clearly speak against {rivals}.",
            first=label_of(best.names[0]),
            rivals=listed(ranked, best.tied_with),
        )
        notes.append(Note(code="tied", text=text))
    for n, r, e in zip(told.places, told.readings, best.residuals, strict=True):
        notes += _against_wear(n, r, e, told.s)
        if r.what == "pitch" and abs(r.value / best.names[0].m - 1) < 0.03:
            text = _("Reading {n} looks like the module {m:.4g}, not a circular pitch.", n=n + 1, m=best.names[0].m)
            notes.append(Note(code="module_for_pitch", text=text))
    for t in told.tried:
        expected = chance_of_smooth(t, best.names[0])
        if (expected if t.smooth else 1 - expected) < 0.5:
            text = _("How the rack rolled speaks against the first candidate: try it again on sound flanks.")
            notes.append(Note(code="rack_against_first", text=text))
    return notes


def _names_of_the_first(best: core.Candidate) -> list[Note]:
    """That the first candidate is several rings, so that its probability is not that of the one it is called by."""
    if len(best.names) < 2:
        return []
    text = _(
        "The first candidate stands for {n} rings that give the same readings: {together:.0%} is the chance of all of "
        "them, {own:.0%} that of {ring}.",
        n=len(best.names),
        together=best.probability,
        own=best.names[0].probability,
        ring=label_of(best.names[0]),
    )
    return [Note(code="several_rings", text=text)]


def _against_wear(n: int, r: core.Reading, e: core.Residual, s: int) -> list[Note]:
    """Metal beyond the standard ring: wear takes metal away, it cannot have put it there."""
    if e.difference * wear_sign(r.what, s) >= 0 or abs(e.difference) <= 2 * r.u:
        return []
    if r.what in _THICKNESS:
        text = _(
            "Reading {n}, {what}: the tooth is thicker than the first candidate's. Wear cannot do that: "
            "a profile shift, weld on the flank, or the reading.",
            n=n + 1,
            what=shown(r),
        )
        return [Note(code="thicker_than_standard", text=text)]
    if r.what == "whole_depth":
        text = _("The tooth is deeper than the first candidate's. Wear cannot do that. Look at the reading.")
        return [Note(code="deeper_than_standard", text=text)]
    text = _("The tip lies outside the first candidate's standard tip: wear cannot do that. Look at the reading.")
    return [Note(code="tip_above_standard", text=text)]


def _count_said_twice(asked: IdentifyAsked, told: Told) -> list[Note]:
    if told.segments is None or told.segments.teeth == asked.teeth:
        return []
    text = _(
        "{number} segments of {each} teeth make {whole}, not {teeth}. A gap at the joint counted as a tooth?",
        number=told.segments.number,
        each=told.segments.teeth_each,
        whole=told.segments.teeth,
        teeth=asked.teeth,
    )
    notes = [Note(code="counts_disagree", text=text)]
    if asked.teeth_sure is not False:
        text = _("The count is taken as sure, so the segments were not used. Say that it is not, and both are weighed.")
        notes.append(Note(code="segments_not_used", text=text))
    return notes
