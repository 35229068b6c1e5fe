"""Quick sums of cutting: speed and feed in a hardness, and how long an edge lasts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from fastapi import APIRouter, Request, Response

from ringwright.reckon.base import Problems
from ringwright.web.edge_lines import advice_lines, lap_lines, life_lines, speed_lines
from ringwright.web.forms import Typed, given, number_or_text, whole, whole_or_text
from ringwright.web.forms import length as typed_length
from ringwright.web.pages import Line, number, unit_of
from ringwright.web.quick import ask, query
from ringwright.web.sum_page import Field, Group, Part, choices, sum_page
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/sums")

_MATERIALS = {"carbide": N_("carbide"), "hss": N_("high speed steel"), "hss_cobalt": N_("cobalt steel")}
_ENDS = {"flat": N_("flat end"), "bull": N_("rounded corner"), "ball": N_("ball end")}
_SCALES = {"HB": "HB", "HRC": "HRC", "HV": "HV", "HLD": N_("rebound, HLD"), "file": N_("by file, HRC")}
_CONDITIONS = {
    "sound": N_("sound metal"),
    "weld": N_("weld"),
    "hard": N_("hard spots"),
    "scale": N_("scale, skin"),
}
_WORKS = {"heavy": N_("heavy"), "light": N_("light")}


def _cutter_fields() -> tuple[Field, ...]:
    return (
        Field("material", _("Of"), choices=choices(_MATERIALS), stands="carbide"),
        Field("end", _("End"), choices=choices(_ENDS), stands="flat"),
        Field("diameter", _("Diameter"), "length", required=True),
        Field("flutes", _("Flutes, teeth"), mode="numeric", required=True),
    )


def _hardness(typed: Typed) -> dict[str, Any]:
    if typed["scale"] == "file":
        bites, skates = number_or_text(typed["hardness"]), number_or_text(typed["skates"])
        return {"scale": "file", **given([("bites_hrc", bites), ("skates_hrc", skates)])}
    scale = typed["scale"] if typed["scale"] in _SCALES else "HB"
    return given([("value", number_or_text(typed["hardness"])), ("scale", scale)])


def _numbers(text: str) -> list[float | str]:
    return [number_or_text(part) for part in text.replace(";", " ").split()][:60]


@router.get("/speed")
def speed(request: Request) -> Response:
    """Speed and feed of a cutter in a hardness, and what the cut takes."""
    typed, unit = query(request), unit_of(request)
    answer = None
    if typed.text("diameter"):
        cutter = given(
            [
                ("kind", typed["end"] if typed["end"] in _ENDS else "flat"),
                ("diameter_mm", typed_length(typed["diameter"], unit)),
                ("flutes", whole_or_text(typed["flutes"])),
                ("material", typed["material"] if typed["material"] in _MATERIALS else "carbide"),
            ]
        )
        asked = given(
            [
                ("cutter", cutter),
                ("hardness", _hardness(typed)),
                ("condition", typed["condition"]),
                ("engagement", typed["engagement"]),
                ("speeds_rpm", _numbers(typed["speeds"]) or None),
                ("feeds_mm_min", _numbers(typed["feeds"]) or None),
                ("feed_travel_mm", typed_length(typed["travel"], unit)),
                ("chip_section_mm2", number_or_text(typed["section"])),
                ("teeth", whole_or_text(typed["teeth"])),
            ]
        )
        answer = ask(request, "cutting_data", {**asked, "working": True})
    groups = (
        Group(_("The cutter"), _cutter_fields()),
        Group(
            _("The hardest metal it meets"),
            (
                Field("hardness", _("Hardness"), required=True),
                Field("scale", _("on"), choices=choices(_SCALES), stands="HB"),
                Field("skates", _("File that skates, HRC")),
                Field("condition", _("It is"), choices=choices(_CONDITIONS), stands="sound"),
                Field("engagement", _("Work"), choices=choices(_WORKS), stands="heavy"),
            ),
        ),
        Group(
            _("The machine and the cut, as far as known"),
            (
                Field("speeds", _("Speeds it has"), "rev/min", mode="text", hint="210 325 660 1060"),
                Field("feeds", _("Feeds it has"), "mm/min", mode="text"),
                Field("travel", _("Way of one cut"), "length"),
                Field("section", _("Metal across the way"), "mm²"),
                Field("teeth", _("Teeth to cut"), mode="numeric"),
            ),
        ),
    )
    parts = _speed_parts(answer) if answer is not None else ()
    says = answer.advice if answer is not None else ()
    lead = _("A starting point to turn down. With a file, the first field is the softest that bites.")
    return sum_page(request, _("Speed and feed"), lead, groups, answer, parts=parts, says=says)


def _speed_parts(a: Any) -> Iterable[Part]:
    yield Part(_("Set it to"), tuple(speed_lines(a)))
    HB = a.hardness_hb
    spread = "" if HB.low == HB.high else _("{low} to {high}", low=number(HB.low, 0), high=number(HB.high, 0))
    about = _("about {hrc} HRC", hrc=number(HB.about_hrc, 0)) if HB.about_hrc is not None else ""
    lines = [Line(_("Taken as"), number(HB.likely, 0), "HB", "; ".join(x for x in (spread, about) if x))]
    if a.power_kw is not None:
        lines.append(Line(_("Power at the spindle"), number(a.power_kw, 2), "kW"))
    if a.tooth_s is not None:
        why = _("{s} s of it by hand: index, lock, look", s=number(a.handling_s, 0))
        lines.append(Line(_("A tooth takes"), number(a.tooth_s, 0), "s", why))
    if a.round_minutes is not None:
        lines.append(Line(_("The round takes"), number(a.round_minutes, 0), "min"))
    yield Part(_("What comes with it"), tuple(lines))


@router.get("/edge")
def edge(request: Request) -> Response:
    """How long an edge lasts: so many teeth, some of them hard."""
    typed, unit = query(request), unit_of(request)
    answer = None
    if typed.text("teeth"):
        try:
            answer = ask(request, "cutter_life", {**_life_sum(typed, unit), "working": True})
        except Problems as problems:
            request.state.problems = problems.problems
    groups = (
        Group(
            _("The round"),
            (
                Field("teeth", _("Teeth to cut"), mode="numeric", required=True),
                Field("hb", _("Hardness, if read"), "HB"),
                Field("hard", _("Hard ones among them"), mode="numeric"),
                Field("hard_hb", _("as hard as"), "HB"),
                Field("seconds", _("Seconds in the cut, a tooth"), "s", required=True),
                Field("speed", _("Cutting speed"), "m/min", required=True),
            ),
        ),
        Group(
            _("The edge"),
            (
                Field("material", _("Of"), choices=choices(_MATERIALS), stands="carbide"),
                Field("minutes", _("Known to last"), "min"),
                Field("runout", _("Runs out, indicator"), "length"),
                Field("edges", _("Edges to one cutter"), mode="numeric"),
            ),
        ),
        Group(
            _("What was seen"),
            (
                Field("at", _("After tooth"), mode="numeric"),
                Field("what", _("the edge was"), choices=choices(_SEEN)),
            ),
        ),
    )
    parts: tuple[Part, ...] = ()
    if answer is not None:
        teeth = tuple(range(1, answer.teeth + 1))
        parts = (
            Part(_("Will it last"), tuple(life_lines(answer, teeth))),
            Part(_("Lap by lap"), tuple(lap_lines(answer))),
        )
    lead = _("The hard ones are cut last, in a lap of their own, and count as the last numbers.")
    says = advice_lines(answer, tuple(range(1, answer.teeth + 1))) if answer is not None else ()
    return sum_page(request, _("How long an edge lasts"), lead, groups, answer, parts=parts, says=says)


_SEEN = {
    "": "–",
    "fine": N_("still good"),
    "worn": N_("worn out"),
    "chipped": N_("chipped"),
    "gone": N_("gone, not known how"),
    "changed": N_("changed, still good"),
}


def _life_sum(typed: Typed, unit: str) -> dict[str, Any]:
    """`Problems` when there are more hard teeth than teeth."""
    teeth = whole_or_text(typed["teeth"])
    hard = whole(typed["hard"] or "0", "hard", 0, teeth if isinstance(teeth, int) else 1000)
    stretches: list[dict[str, Any]] = [
        given([("first", 1), ("last", teeth), ("hardness_hb", number_or_text(typed["hb"]))])
    ]
    if isinstance(teeth, int) and hard > 0:
        stretches[0]["last"] = teeth - hard
        of = given([("hardness_hb", number_or_text(typed["hard_hb"]))])
        stretches.append({"first": teeth - hard + 1, "last": teeth, "zone": "hard", **of})
        stretches = [s for s in stretches if s["last"] >= s["first"]]
    cutter = given(
        [
            ("material", typed["material"] if typed["material"] in _MATERIALS else "carbide"),
            ("runout_mm", typed_length(typed["runout"], unit)),
            ("edges_per_cutter", whole_or_text(typed["edges"])),
        ]
    )
    seen = given([("tooth", whole_or_text(typed["at"])), ("what", typed["what"])])
    return given(
        [
            ("stretches", stretches),
            ("cutter", cutter),
            ("speed_m_min", number_or_text(typed["speed"])),
            ("seconds_per_tooth", number_or_text(typed["seconds"])),
            ("history", {"minutes": number_or_text(typed["minutes"])} if typed.text("minutes") else None),
            ("seen", [seen] if typed.text("at") and typed["what"] else None),
        ]
    )
