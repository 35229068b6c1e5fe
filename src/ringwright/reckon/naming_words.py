"""The words of naming a ring: labels, why, how to take a reading, what is suspected, the sums."""

from __future__ import annotations

from math import atan, cos, degrees, inf, pi, tan

import numpy as np

from ringwright import identify as core
from ringwright.reckon.base import WorkingLine
from ringwright.words import N_, _


def _pitch_name(name: core.Named) -> str:
    system = core.SYSTEMS[name.system]
    if system == "module":
        return _("module {size}", size=name.size)
    if system == "diametral_pitch":
        return _("{size} DP", size=name.size)
    if system == "circular_pitch":
        if name.size.endswith("mm"):
            return _("{size} circular pitch", size=name.size)
        return _("{size} in circular pitch", size=name.size)
    return _("combination pitch {size}", size=name.size)


def label_of(name: core.Named) -> str:
    """One standard ring in words."""
    form = {
        "full depth": _("full depth"),
        "stub": _("stub"),
        "stub 1/4 of the pitch": _("stub of a quarter of the pitch"),
        "3/10 of the pitch": _("three tenths of the pitch"),
    }[name.form]
    c = cos(name.beta) if name.transverse else 1.0
    text = _(
        "{pitch}, {angle:g}°, {form} {ha:.4g}/{hf:.4g}, {z} teeth",
        pitch=_pitch_name(name),
        angle=round(degrees(atan(tan(name.alpha) / c)), 4),
        form=form,
        ha=name.ha * c,
        hf=name.hf * c,
        z=name.z,
    )
    if name.beta:
        text = _("{ring}, helical at {beta:.4g}°", ring=text, beta=degrees(name.beta))
    return _("{ring}, counted across the axis", ring=text) if name.transverse else text


def name_of(what: str) -> str:
    """A kind of reading in words."""
    return {
        "tip_diameter": _("tip diameter"),
        "root_diameter": _("root diameter"),
        "whole_depth": _("whole depth"),
        "span": _("span"),
        "over_pins": _("size over pins"),
        "between_pins": _("size between pins"),
        "chordal_thickness": _("chordal thickness"),
        "centre_distance": _("centre distance"),
        "pitch": _("circular pitch"),
        "helix_angle": _("helix angle"),
        "tip_caliper": _("caliper over the tips"),
        "tip_girth": _("tape round the tips"),
        "tip_arc": _("tape along the tips"),
        "chord_over_teeth": _("chord over the tips"),
        "span_difference": _("difference of two spans"),
        "rack_tried": _("rack or hob tried"),
        "segment_teeth": _("teeth of one segment"),
    }[what]


def shown(reading: core.Reading) -> str:
    """A reading in words, with the teeth that it goes over, so that two spans are told apart."""
    if reading.what == "span":
        return _("span over {k} teeth", k=reading.k)
    if reading.what == "chord_over_teeth":
        return _("chord over {n} pitches at the tips", n=reading.n)
    return name_of(reading.what)


def wear_sign(what: str, s: int) -> int:
    """Which way wear moves a reading: -1 smaller, +1 larger, 0 not at all."""
    if what in ("span", "over_pins", "chordal_thickness", "whole_depth"):
        return -1
    around = {"tip_caliper": -1, "tip_girth": -1, "tip_arc": -1, "chord_over_teeth": -s}
    return {"tip_diameter": -s, "between_pins": 1, **around}.get(what, 0)


def why(
    readings: tuple[core.Reading, ...], s: int, c: core.Candidate, tried: tuple[core.Tried, ...], mate: core.Mate | None
) -> str:
    """Why this candidate: what fits, what wear explains, what a slip would, what nothing does."""
    said, fits = _rest(readings, s, c)
    said += [_rolled(t, c.names[0]) for t in tried]
    if c.x:
        said.insert(0, _("with a profile shift of {x:+.3f}", x=c.x))
    if mate is not None:
        near = sum(abs(r.sigmas) <= 2 for r in c.mate_residuals)
        said.append(_("of the mate's readings {fits} of {all} agree", fits=near, all=len(c.mate_residuals)))
    if len(c.names) > 1:
        said.append(_("stands for {n} rings that give the same readings", n=len(c.names)))
    if len(readings) == 1:
        start = (
            _("the reading agrees with the unworn ring") if fits else _("the reading is not that of the unworn ring")
        )
    else:
        start = _("{fits} of {all} readings agree with the unworn ring", fits=fits, all=len(readings))
    return "; ".join([start, *said]) + "."


def _rolled(tried: core.Tried, name: core.Named) -> str:
    expected = chance_of_smooth(tried, name)
    how = _("smoothly") if tried.smooth else _("bumping")
    agrees = expected > 0.5 if tried.smooth else expected < 0.5
    if agrees:
        return _("the rack of {angle:g}° rolled {how}, as it would here", angle=round(degrees(tried.alpha), 4), how=how)
    return _(
        "the rack of {angle:g}° rolled {how}, which it would not here", angle=round(degrees(tried.alpha), 4), how=how
    )


def chance_of_smooth(tried: core.Tried, name: core.Named) -> float:
    """Chance that this rack rolls smoothly in this ring."""
    return float(core.chance_smooth(tried, np.asarray(name.m), np.asarray(name.alpha)))


def _rest(readings: tuple[core.Reading, ...], s: int, c: core.Candidate) -> tuple[list[str], int]:
    """What is to be said of the readings that do not fit, and how many do."""
    said, fits = [], 0
    for n, (reading, r) in enumerate(zip(readings, c.residuals, strict=True)):
        if abs(r.sigmas) <= 2:
            fits += 1
            if n in c.bad:  # a helix that the others do not go with: the candidate carries it as read
                said.append(_("{what} more likely a slip of the reading", what=shown(reading)))
            continue
        off = degrees(r.difference) if reading.is_angle else r.difference
        fill = {"what": shown(reading), "off": f"{abs(off):.2f} {'°' if reading.is_angle else 'mm'}"}
        fill["way"] = _("under") if r.difference < 0 else _("over")
        by_wear = wear_sign(reading.what, s) * r.difference > 0 and not _gone_too_far(reading, r, c.names[0])
        if n in c.bad:
            said.append(_("{what} {off} {way}, more likely a slip of the reading", **fill))
        elif reading.what == "tip_diameter" and reading.worn and by_wear:
            said.append(_("tips worn by {off} (on the diameter)", **fill))
        elif reading.worn and by_wear:
            said.append(_("{what} {off} {way}, as wear makes it", **fill))
        elif by_wear:
            said.append(_("{what} {off} {way}: made so or worn, though not marked as worn", **fill))
        else:
            said.append(_("{what} {off} {way}, which wear does not explain", **fill))
    return said, fits


def _gone_too_far(reading: core.Reading, r: core.Residual, name: core.Named) -> bool:
    """Whether a tip reading lies further off than with every tip worn down to the reference circle."""
    addenda = {"tip_diameter": 2.0, "tip_caliper": 2.0, "tip_girth": 2 * pi, "whole_depth": 1.0}
    return abs(r.difference) > addenda.get(reading.what, inf) * name.m * name.ha


def how_to(reading: core.Reading) -> str:
    """How to take this reading, in one sentence."""
    k, D_M, h = reading.k, reading.D_M, reading.h
    return {
        "span": _(
            "Measure the span over {k} teeth where the flanks are least worn: ends of the face, idle flank.", k=k
        ),
        "over_pins": _("Put pins of {d:g} mm in opposite spaces and measure over them.", d=D_M),
        "between_pins": _("Put pins of {d:g} mm in opposite spaces and measure between them.", d=D_M),
        "whole_depth": _("Measure the depth from a sound tip to the bottom of the space."),
        "tip_diameter": _(
            "Measure across the soundest tips; with an odd count take the largest reading and correct it."
        ),
        "root_diameter": _("Measure the diameter at the bottoms of the spaces, scraped clean."),
        "pitch": _("Measure over many teeth along the reference circle and divide by the spaces."),
        "chordal_thickness": _(
            "Set the tongue of the gear caliper to {h:g} mm below a sound tip and read the chord.", h=h
        ),
        "tip_girth": _("Lay a steel tape round the soundest tips, without sag, and give its thickness."),
        "chord_over_teeth": _(
            "Measure straight from a sound tip to the tip {n} teeth on, same side of both.", n=reading.n
        ),
    }[reading.what]


def suspicion(reading: core.Reading, number: int, on_mate: bool, chance: float) -> str:
    """That this reading is more likely bad than good."""
    what = shown(reading)
    place = _("Reading {n} of the mate", n=number + 1) if on_mate else _("Reading {n}", n=number + 1)
    if chance > 0.99:
        return _(
            "{place}, {what}, does not go with the others: almost surely a slip. Take it again.", place=place, what=what
        )
    return _(
        "{place}, {what}, does not go with the others ({chance:.0%} likely a slip). Take it again.",
        place=place,
        what=what,
        chance=chance,
    )


def listed(ranked: core.Ranked, places: tuple[int, ...]) -> str:
    """Some candidates by name, the first three of them."""
    names = "; ".join(label_of(ranked.candidates[k].names[0]) for k in places[:3])
    return names if len(places) <= 3 else _("{names}; and {n} more", names=names, n=len(places) - 3)


def settling(ranked: core.Ranked, coming: core.Next | None, can_read: frozenset[str] | None) -> str | None:
    """That the first candidate is tied, what no reading here would part, and the one reading that would settle it."""
    rivals = ranked.candidates[0].tied_with if ranked.candidates else ()
    if not rivals:
        return None
    told = core.parting(ranked, coming, can_read)
    said = [_("Not settled between {names}.", names=listed(ranked, (0, *rivals)))]
    if told.beyond:
        said.append(_no_reading(ranked, told.beyond, only=len(told.beyond) == len(rivals)))
    if coming is None:
        return " ".join(said)
    if not (told.parted or told.left):
        return " ".join([*said, _("The reading proposed next is for the other rings in question.")])
    how = how_to(coming.reading)
    if not told.left:
        said.append(_("What would settle it: {how}", how=how) if not told.beyond else _("For the rest: {how}", how=how))
    elif told.parted:
        said.append(_("What would most likely rule some of them out: {how}", how=how))
    else:
        said.append(_("No one reading is likely to settle it. What would help most: {how}", how=how))
    return " ".join(said)


def _no_reading(ranked: core.Ranked, beyond: tuple[int, ...], *, only: bool) -> str:
    """That nothing which can still be read parts these from the first; and whether that matters to the cutter."""
    first = ranked.candidates[0].names[0]
    names = [ranked.candidates[k].names[0] for k in beyond]
    same = all(abs(n.m - first.m) < 1e-9 and abs(n.alpha - first.alpha) < 1e-9 and n.z == first.z for n in names)
    if only:
        text = _("No further reading that can be taken here tells them apart.")
    else:
        text = _(
            "No further reading that can be taken here tells the first from {names}.", names=listed(ranked, beyond)
        )
    if not same:
        return text
    return text + " " + _("They have the same pitch and pressure angle and differ in tip and root only.")


_FORMULAS = {
    "tip_diameter": N_("d ± 2 m (h_a* + x)"),
    "root_diameter": N_("d ∓ 2 m (h_f* ∓ x)"),
    "whole_depth": N_("m (h_a* + h_f*)"),
    "span": N_("m_n cos α_n [π (k − 0.5) + z inv α_t] + 2 x m_n sin α_n"),
    "over_pins": N_("d_b / cos α_K (· cos(90°/z) if odd) + D_M"),
    "between_pins": N_("d_b / cos α_K (· cos(90°/z) if odd) − D_M"),
    "chordal_thickness": N_("2 r sin ψ(r), r cos ψ at the tongue"),
    "centre_distance": N_("(z_mate ± z) m / 2 cos β ± x m"),
    "pitch": N_("π m_n / cos β"),
    "helix_angle": N_("β"),
    "tip_caliper": N_("d_a (· cos(90°/z) if odd)"),
    "tip_girth": N_("z (s_a + d_a sin(π/z − s_a/d_a)) + π t_tape"),
    "tip_arc": N_("n (s_a + d_a sin(π/z − s_a/d_a)) + n π t_tape / z"),
    "chord_over_teeth": N_("d_a sin(n π/z)"),
    "span_difference": N_("n π m_n cos α_n"),
}


def working_of(readings: tuple[core.Reading, ...], ranked: core.Ranked) -> tuple[WorkingLine, ...]:
    """The first candidate's sums."""
    if not ranked.candidates:
        return ()
    c = ranked.candidates[0]
    name = c.names[0]
    ring = (
        f"z = {name.z}, m_n = {name.m:.6g}, α_n = {degrees(name.alpha):g}°, β = {degrees(name.beta):.4g}°, x = {c.x:g}"
    )
    ring += f", h_a* = {name.ha:.4g}, h_f* = {name.hf:.4g}"
    own = {"k": "k", "D_M": "D_M", "h": "h", "z_mate": "z_mate", "n": "n", "tape": "t_tape"}
    lines = []
    for n, (reading, r) in enumerate(zip(readings, c.residuals, strict=True)):
        extra = "".join(f", {label} = {getattr(reading, at):g}" for at, label in own.items() if getattr(reading, at))
        lines.append(
            WorkingLine(
                symbol=f"R_{n + 1}",
                name=name_of(reading.what),
                formula=_(_FORMULAS[reading.what]),
                put_in=ring + extra,
                value=degrees(r.predicted) if reading.is_angle else r.predicted,
                unit="deg" if reading.is_angle else "mm",
                source="iso-21771",
            )
        )
    return tuple(lines)
