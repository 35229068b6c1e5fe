"""The words of problems: from a fault's code and its data to what, allowed and do."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ringwright.errors import Unreadable
from ringwright.words import N_, _

if TYPE_CHECKING:
    from ringwright.reckon.base import Problem

#: code -> (what is wrong, what is allowed, what to do); ``{name}`` places are filled from the fault's data.
PHRASES: dict[str, tuple[str, str, str]] = {
    "not_json": (
        N_("This is not a JSON object."),
        N_("One JSON object in UTF-8, numbers finite."),
        N_("Look for a missing bracket, quote or comma; write no NaN and no Infinity."),
    ),
    "too_large": (
        N_("The request is larger than {limit}."),
        N_("At most {limit}."),
        N_("Ask in smaller parts."),
    ),
    "unknown_operation": (
        N_("There is no operation of that name."),
        N_("One of: {names}."),
        N_("Look at the list: ringwright reckon --list."),
    ),
    "wrong_method": (N_("Only POST is answered here."), N_("POST with a JSON body."), N_("Send the request as POST.")),
    "missing": (N_("“{field}” is missing."), N_("It has to be given."), N_("Put “{field}” in.")),
    "unknown_field": (
        N_("“{field}” is not a field here."),
        N_("Only the fields of the contract."),
        N_("Take it out, or look for a slip in the name."),
    ),
    "out_of_range": (
        N_("{value} is outside what is possible here."),
        N_("{low} to {high}."),
        N_("Look at the value and its unit."),
    ),
    "too_small": (N_("{value} is too small."), N_("{limit}."), N_("Look at the value and its unit.")),
    "too_great": (N_("{value} is too great."), N_("{limit}."), N_("Look at the value and its unit.")),
    "not_finite": (N_("This is not a finite number."), N_("A finite number."), N_("Give a number.")),
    "not_a_number": (N_("“{value}” is not a number."), N_("A number."), N_("Give a number, without quotes.")),
    "not_a_whole_number": (
        N_("“{value}” is not a whole number."),
        N_("A whole number."),
        N_("Give a whole number, without quotes."),
    ),
    "not_a_text": (N_("This should be a text."), N_("A text."), N_("Put it in quotes.")),
    "not_true_or_false": (N_("This should be true or false."), N_("true or false."), N_("Give true or false.")),
    "not_a_list": (N_("This should be a list."), N_("A list in square brackets."), N_("Put it in square brackets.")),
    "not_an_object": (N_("This should be an object."), N_("An object in curly brackets."), N_("Give its fields.")),
    "not_one_of": (N_("“{value}” is not one of the choices."), N_("{limit}."), N_("Take one of these.")),
    "wrong_length": (N_("The list or text has the wrong length."), N_("{limit}."), N_("Shorten or lengthen it.")),
    "no_unit": (
        N_("“{value}” has no unit."),
        N_("A number, or text with its unit: “12 mm”, “1-1/4 in”, “32 thou”, “14°30′”."),
        N_("Write the unit behind it."),
    ),
    "unknown_unit": (
        N_("The unit in “{value}” is not known."),
        N_("mm, cm, m, um, in, thou, ft."),
        N_("Use one of these units."),
    ),
    "ambiguous_comma": (
        N_("“{value}” can be read in two ways: a decimal comma or a thousands mark."),
        N_("A point, or a comma that is not followed by exactly three digits."),
        N_("Write it with a point."),
    ),
    "zero_denominator": (
        N_("“{value}” divides by nought."),
        N_("A fraction above nought."),
        N_("Look at the fraction."),
    ),
    "not_a_length": (
        N_("“{value}” cannot be read as a length."),
        N_("“12 mm”, “25,4 mm”, “1-1/4 in”, “32 thou”."),
        N_("Write it in one of these ways."),
    ),
    "not_an_angle": (
        N_("“{value}” cannot be read as an angle."),
        N_("“14.5 deg”, “14°30′”, “14d30m”."),
        N_("Write it in one of these ways."),
    ),
    "not_a_ratio": (
        N_("“{value}” is neither a whole number nor a fraction of two."),
        N_("A whole number such as 40, or a text such as “2550/47”."),
        N_("Write it in one of these ways."),
    ),
    "one_pitch": (
        N_("The pitch has to be given in exactly one way."),
        N_("Exactly one of module_mm, diametral_pitch, circular_pitch_mm."),
        N_("Leave one, take the others out."),
    ),
    "hand_needed": (
        N_("A helical ring needs its hand."),
        N_("hand “right” or “left” when helix_angle_deg is not 0."),
        N_("Give the hand as seen on the ring."),
    ),
    "refused": (N_("This cannot be reckoned."), N_("See the contract."), N_("Look at the values.")),
}

#: pydantic's names of faults -> ours
_KINDS = {
    "missing": "missing",
    "extra_forbidden": "unknown_field",
    "finite_number": "not_finite",
    "bool_type": "not_true_or_false",
    "bool_parsing": "not_true_or_false",
    "string_type": "not_a_text",
    "tuple_type": "not_a_list",
    "list_type": "not_a_list",
    "dict_type": "not_an_object",
    "model_type": "not_an_object",
    "model_attributes_type": "not_an_object",
    "literal_error": "not_one_of",
    "enum": "not_one_of",
    "json_invalid": "not_json",
}
_LIMITS = {
    "greater_than": ("too_small", N_("more than {gt}")),
    "greater_than_equal": ("too_small", N_("at least {ge}")),
    "less_than": ("too_great", N_("less than {lt}")),
    "less_than_equal": ("too_great", N_("at most {le}")),
    "too_short": ("wrong_length", N_("at least {min_length}")),
    "too_long": ("wrong_length", N_("at most {max_length}")),
    "string_too_short": ("wrong_length", N_("at least {min_length} letters")),
    "string_too_long": ("wrong_length", N_("at most {max_length} letters")),
}


def learn(code: str, what: str, allowed: str, do: str) -> None:
    """Add the words of one kind of refusal; an operation's module calls it for the codes that only its core has."""
    if PHRASES.setdefault(code, (what, allowed, do)) != (what, allowed, do):
        raise KeyError(f"two phrases for {code}")


def fault(fault: Mapping[str, Any], here: object) -> tuple[str, dict[str, object]]:
    """One of pydantic's faults as our code and the data for its words."""
    kind, context = str(fault["type"]), dict(fault.get("ctx") or {})
    facts: dict[str, object] = {"value": _shown(here), "field": str(fault["loc"][-1]) if fault["loc"] else ""}
    error = context.get("error")
    if isinstance(error, Unreadable):
        return error.code, {**facts, "value": error.text}
    if kind in _LIMITS:
        code, limit = _LIMITS[kind]
        return code, {**facts, "limit": _(limit, **context)}
    if kind in ("literal_error", "enum"):
        facts["limit"] = context.get("expected", "")
    if kind.startswith(("int", "float", "decimal")):
        return ("not_a_whole_number" if kind.startswith("int") else "not_a_number"), facts
    if kind == "value_error" and isinstance(error, ValueError):
        return (str(error) if str(error) in PHRASES else "refused"), facts
    return _KINDS.get(kind, "refused"), facts


def problem(code: str, where: str, facts: Mapping[str, object]) -> Problem:
    """The problem of that code in words."""
    from ringwright.reckon.base import Problem  # base needs the words first

    what, allowed, do = PHRASES.get(code, PHRASES["refused"])
    filled = _Blank(facts)
    return Problem(
        code=code,
        where=where,
        what=_(what).format_map(filled),
        allowed=_(allowed).format_map(filled),
        do=_(do).format_map(filled),
    )


class _Blank(dict[str, object]):
    """A place that nobody filled stays visible instead of breaking the sentence."""

    def __missing__(self, key: str) -> str:
        return "…"


def _shown(here: object) -> str:
    text = str(here)
    return text if len(text) <= 40 else text[:39] + "…"
