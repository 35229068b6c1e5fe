"""The cut of a round in lines of the ledger: what it leaves, how it is set, which way it cuts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ringwright.paper.hand_words import by_hand
from ringwright.reckon.round_words import head_says
from ringwright.web.pages import Line, length, number, sums
from ringwright.words import N_, _

#: What may be out, as `lead_in` names it.
_OUT: dict[str, str] = {
    "tip_radial": N_("Tip further out"),
    "tip_axial": N_("Tip further into the face"),
    "centre": N_("Cutter off the middle"),
    "nod": N_("Head nodded further"),
    "tilt": N_("Head tilted further"),
    "touch_off": N_("Nought taken too late"),
    "cutter_diameter": N_("Cutter smaller"),
    "tooth_thickness": N_("Teeth thinner"),
}
_CUTS = {"climb": N_("climb"), "conventional": N_("conventional"), "across": N_("across")}
_BURRS = {
    "entry_face": N_("at the entry face"),
    "flank": N_("at the inner end of the cut, on the flank"),
    "tip": N_("over the tip"),
    "root": N_("in the root"),
}
_FROM = {
    ("tip", "infeed"): N_("From a sound tip to the finished cut"),
    ("root", "infeed"): N_("From the root to the finished cut"),
    ("end_face", "infeed"): N_("From the end face to the finished cut"),
    ("tip", "place"): N_("Cutter’s place, from a sound tip"),
    ("root", "place"): N_("Cutter’s place, from the root"),
    ("end_face", "place"): N_("Cutter’s place, from the end face"),
}
_PARTS = {"shank": N_("The shank clears the ring by"), "holder": N_("The holder clears the ring by")}


def cut_lines(cut: Any, unit: str) -> tuple[Line, ...]:
    """What the cut is and what it leaves, each figure with its sum."""
    if cut is None:
        return ()

    def pair(p: Any) -> str:
        plus, minus = length(p.plus, unit), length(p.minus, unit)
        return plus if plus == minus else f"{plus} / {minus}"

    r, t, a = cut.touch_off.point
    at = _(
        "first touch {r} from the axis, {t} beside the middle of the space, {a} into the face, {unit}",
        r=length(r, unit),
        t=length(abs(t), unit),
        a=length(a, unit),
        unit=unit,
    )
    if cut.touch_off.grazing:
        at += "; " + _("it grazes, feel for it slowly")
    lines = [
        Line(_("Tip at touch-off, from the axis"), length(cut.tip_at_touch_off[0], unit), unit, at, sums(cut, "h", "e"))
    ]
    if cut.infeed_mm is not None:
        lines.insert(
            0,
            Line(
                _("Infeed from touch-off"),
                length(cut.infeed_mm, unit, 3 if unit == "mm" else 4),
                unit,
                _turned(cut),
                sums(cut),
            ),
        )
    if cut.lead_length_mm is not None:
        lines.append(
            Line(
                _("Lead, clockwise tooth / other"),
                pair(cut.lead_length_mm),
                unit,
                "",
                sums(cut, "lead_plus", "lead_minus"),
            )
        )
    if cut.end_land_mm is not None:
        lines.append(
            Line(_("Flat left after this space"), pair(cut.end_land_mm), unit, "", sums(cut, "land_plus", "land_minus"))
        )
    if cut.end_land_finished_mm is not None:
        lines.append(
            Line(_("Flat left when all are cut"), length(cut.end_land_finished_mm, unit), unit, "", sums(cut, "land"))
        )
    if cut.full_face_mm is not None:
        lines.append(Line(_("Face left untouched"), length(cut.full_face_mm, unit), unit, "", sums(cut, "full face")))
    if cut.saturation is not None:
        most = length(min(cut.saturation.lead_length_mm.plus, cut.saturation.lead_length_mm.minus), unit)
        lines.append(Line(_("The lead grows no further than"), most, unit, "", sums(cut, "lead_most")))
    shift = cut.touch_off.shift_per_mm_of_corner_lost
    if shift is not None:
        why = _("later for each mm of corner that the touched tooth has lost; touch a sound one")
        lines.append(Line(_("Touch-off comes"), number(shift, 2), "mm", why))
    return tuple(lines)


def out_by(cut: Any, unit: str) -> tuple[Line, ...]:
    """What the lead does when one thing is out."""
    return tuple(
        Line(
            _("{what}, {step}", what=_(_OUT.get(s.to, s.to.replace("_", " "))), step=s.unit.lstrip("-")),
            length(s.lead_mm, unit).replace("-", "−"),
            unit,
            _("the cut goes deeper than meant, as on a worn edge") if s.to == "touch_off" else _("touched off afresh"),
        )
        for s in (cut.sensitivity if cut is not None else None) or ()
    )


def _turned(cut: Any) -> str:
    return cut.turned or "" if len(cut.passes) < 2 else ""


def how_set(cut: Any, unit: str) -> tuple[Line, ...]:
    """How it is set and cut: passes, other touches, the head, which way it cuts."""
    if cut is None:
        return ()
    return (*_passes(cut, unit), *_touches(cut, unit), *_turning(cut), *_head(cut, unit), *_behind(cut, unit))


def _passes(cut: Any, unit: str) -> Iterable[Line]:
    for n, one in enumerate(cut.passes if len(cut.passes) > 1 else (), start=1):
        metal = _("{mm3} mm³ of metal", mm3=number(one.removed_mm3, 1))
        why = f"{one.turned}; {metal}" if one.turned else metal
        yield Line(_("Pass {n}, from touch-off", n=n), length(one.infeed_mm, unit, 3 if unit == "mm" else 4), unit, why)


def _touches(cut: Any, unit: str) -> Iterable[Line]:
    digits = 3 if unit == "mm" else 4
    for one in cut.better_touch_off:
        gauge = _("over a {mm:g} mm gauge", mm=one.gauge_mm) if one.gauge_mm else ""
        if one.sets == "infeed" and one.infeed_mm is not None:
            first = _("{mm} {unit} of it to the first contact", mm=length(one.offset_mm, unit, digits), unit=unit)
            why = "; ".join(x for x in (gauge, one.turned, first) if x)
            yield Line(_(_FROM[one.on, one.sets]), length(one.infeed_mm, unit, digits), unit, why)
        elif one.sets == "place":
            way = _("away from the metal") if one.offset_mm >= 0 else _("into the metal")
            why = "; ".join(x for x in (gauge, way) if x)
            yield Line(_(_FROM[one.on, one.sets]), length(abs(one.offset_mm), unit, digits), unit, why)


def _turning(cut: Any) -> Iterable[Line]:
    turning = cut.turning
    if turning is None:
        return
    for flank, name in ((turning.plus, N_("On the clockwise tooth")), (turning.minus, N_("On the other tooth"))):
        if flank is not None:
            burr = ", ".join(_(_BURRS[b]) for b in flank.burr)
            yield Line(_(name), _(_CUTS[flank.cuts]), "", _("burr {where}", where=burr) if burr else "")
    if turning.pushed_by_chips == "both":
        why = _("it rattles in the worm’s backlash: the lock alone holds")
        yield Line(_("The cut pushes the ring"), _("both ways"), "", why)
    elif turning.push != "none":
        way = _("clockwise") if turning.push == "clockwise" else _("anticlockwise")
        worm = {
            True: _("it seats the worm; lock all the same"),
            False: _("it unseats the worm: the lock alone holds"),
            None: _("the worm alone does not hold it: lock before each cut"),
        }[turning.seats_worm]
        yield Line(_("The cut pushes the ring"), way, "", worm)


def _head(cut: Any, unit: str) -> Iterable[Line]:
    for one in cut.head_setting:
        name = _("Nod {deg}°", deg=number(one.angle_deg, 2)) if one.angle == "nod" else ""
        name = name or _("Tilt {deg}°", deg=number(one.angle_deg, 2))
        travel = f"{length(one.travel_mm, unit, 0 if unit == 'mm' else 3)} {unit}"
        why = head_says(one.angle, one.travel_mm, one.indicator_mm, one.per_tenth_degree_mm, one.first, unit)
        label = _("{name}: indicator over {travel} of knee", name=name, travel=travel)
        yield Line(label, length(one.indicator_mm, unit, 3 if unit == "mm" else 4), unit, why)


def _behind(cut: Any, unit: str) -> Iterable[Line]:
    for one in cut.behind:
        label = _(_PARTS[one.part]) if one.part in _PARTS else _("{part} clears the ring by", part=one.part)
        strikes = one.strikes_at_mm
        why = (
            "" if strikes is None else _("It strikes {mm} {unit} after touch-off.", mm=length(strikes, unit), unit=unit)
        )
        yield Line(label, length(one.gap_mm, unit), unit, why)


def said_of_cut(cut: Any, unit: str) -> tuple[str, ...]:
    """Which way it cuts and pushes, what to lock, teeth that are not sound, what to finish by hand and tram back."""
    if cut is None:
        return ()
    lock = _("Lock every slide that does not feed, the quill and the head; snug the gib of the one that does.")
    turning = cut.turning.says if cut.turning is not None else (lock,)
    worn = (one.says for one in cut.worn_teeth)
    return tuple(x for x in (*turning, *worn, *by_hand(cut, unit), cut.tram_back) if x)
