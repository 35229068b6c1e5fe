"""The words of a detent: what it touches, what it carries over, what to do about it."""

from __future__ import annotations

from collections.abc import Mapping

from ringwright.reckon import phrases
from ringwright.words import N_, _, ngettext_

phrases.learn(
    "named_twice",
    N_("{value} is named twice."),
    N_("{low} to {high}, each once."),
    N_("Take one out; should it have been another number?"),
)
phrases.learn(
    "not_this_shape",
    N_("A size is given that this shape does not have."),
    N_("ball, pin: diameter_mm; wedge: included_angle_deg, nose_mm, body_mm; pawl: face_angle_deg, nose_mm, depth_mm, "
       "bears_on."),
    N_("Take it out, or take another shape."),
)  # fmt: skip
phrases.learn(
    "spur_only_here",
    N_("A detent is reckoned in straight teeth only, and these are helical."),
    N_("helix_angle_deg 0."),
    N_("Take a ball on the middle of the face, and prove it on two sound spaces."),
)
phrases.learn(
    "body_within_nose",
    N_("The wedge's body is no wider than its nose."),
    N_("More than {low}."),
    N_("Look at the two widths."),
)
phrases.learn(
    "no_best_in_internal",
    N_("In an internal ring a straight flank bears only on corners, so there is no best angle."),
    N_("A ball or a pin, or a wedge or pawl with its angle given."),
    N_("Take a ball."),
)
phrases.learn(
    "no_best_face",
    N_("No face angle of this pawl touches halfway up the flank."),
    N_("A pawl that goes deeper, or a face angle given."),
    N_("Let it go deeper, or say the angle."),
)
phrases.learn(
    "pawl_on_root",
    N_("At that depth the pawl stands on the root."),
    N_("Less than {high}."),
    N_("Draw it back."),
)
phrases.learn(
    "pawl_meets_no_flank",
    N_("At that depth the pawl's face meets no flank."),
    N_("A pawl whose nose stands below the tips of the teeth."),
    N_("Let it go deeper."),
)
phrases.learn(
    "detent_at_cutter",
    N_("The detent would sit in the space that is cut."),
    N_("A number of teeth away that is no whole turn."),
    N_("Move the detent, or leave it out."),
)

#: touches -> what that is worth
_SEATS = {
    "both_flanks": N_("It bears on both flanks, {clear:.2f} mm off the root."),
    "plus_flank": N_("It bears on the plus flank only, {clear:.2f} mm off the root."),
    "minus_flank": N_("It bears on the minus flank only, {clear:.2f} mm off the root."),
    "nose_corners": N_("Only the corners of its nose bear, {clear:.2f} mm off the root."),
    "tips": N_("It rides on the tips of the teeth and never gets down to the flanks."),
    "fillet": N_("It bears in the root fillets, below the flanks."),
    "root": N_("It stands on the root; the flanks do not hold it."),
}
WARNINGS = {
    "nose_corners": N_("Corners wear at once, and bruise the flank: take a ball, or another angle."),
    "tips": N_("Riding on the tips it copies chewed corners and top dressing: too large or too blunt."),
    "fillet": N_("The fillets were never made to measure: too small or too sharp."),
    "root": N_("Standing on the root it lets the ring turn to and fro: too small, or its nose wants a flat."),
}
_CARRIED = {
    "worn_flanks": N_("Steady: the same at every new tooth, so it shows only where new teeth meet old ones. Plus is in "
                      "the sense of counting."),
    "pitch_errors": N_("What the touched flanks are out of place goes over undivided."),
    "run_out": N_("Once round the ring, this much to either side."),
    "slide_play": N_("Play of the plunger in its guide, to either side; always push the ring the same way."),
    "seating": N_("Scatter of seating again."),
}  # fmt: skip
_NOTES = {
    "default_size": N_("No size given: the one that touches halfway up the flanks is taken."),
    "default_depth": N_("Depth of the pawl not given: its nose three quarters of the way down the tooth."),
    "default_bears_on": N_("The pawl is taken to bear on the plus flank. Let it bear on the flank that did not work."),
    "worn": N_("Wear not given: both flanks taken as unworn. On worn metal measure both."),
    "pitch_error_um": N_("Pitch errors of the old teeth not given: taken as none."),
    "eccentricity_mm": N_("Run-out on the table not given: the ring's middle taken as on the table's axis."),
    "slide_play_mm": N_("Play of the detent in its guide not given: taken as none."),
    "least_away": N_("The detent stands at least {n} teeth from the cutter, so that both find room."),
    "no_cut": N_("Which spaces are cut was not said: figures for a detent {n} teeth away."),
    "steep": N_("The contact is steep: the detent may stick. Draw it straight, never turn the ring against it."),
    "internal_root": N_("The root of an internal ring is taken as a usual shaping cutter leaves it."),
    "one_side_worn": N_("One flank is worn more: a pawl on the other flank carries none of that over."),
    "several_settings": N_("The detent has to stand in {n} different places; after moving it, let it into a sound "
                           "space and touch a finished one before going on."),
    "cannot": N_("No sound space serves for {spaces}: index these by plate and worm."),
    "phase_only": N_("Better still: index by plate and worm, and use the teeth only to find where to begin; the mean "
                     "of eight sound spaces is good to {share} of what one is."),
    "plane_section": N_("Reckoned in the plane across the axis: straight teeth, detent square to the ring's face."),
}  # fmt: skip
_NAMES = {
    "t": N_("new tooth aside by wear"),
    "E": N_("swing by run-out, q near 1"),
    "r_c": N_("radius of the contact"),
}


def seat(touches: str, clear: float, slope: float) -> str:
    """What the seat is worth."""
    said = _(_SEATS[touches], clear=clear)
    return (
        said
        if touches not in ("both_flanks", "plus_flank", "minus_flank")
        else said + " " + _("The flanks stand at {slope:.1f}° to its slide.", slope=slope)
    )


def warning(touches: str) -> str:
    """Why a seat is no good."""
    return _(WARNINGS[touches])


def best(shape: str, sizes: Mapping[str, float | None], clear: float) -> str:
    """The best size in words."""
    if shape in ("ball", "pin"):
        return _("{d:.2f} mm touches halfway up, {clear:.2f} mm off the root.", d=sizes["diameter_mm"], clear=clear)
    if shape == "wedge":
        return _(
            "{angle:.1f}° included with a flat of {nose:.2f} mm touches halfway up, {clear:.2f} mm off the root.",
            angle=sizes["included_angle_deg"],
            nose=sizes["nose_mm"],
            clear=clear,
        )
    return _("A face at {angle:.1f}° touches halfway up, {clear:.2f} mm off the root.", angle=sizes["face_angle_deg"],
             clear=clear)  # fmt: skip


def carried(what: str) -> str:
    """What one part is."""
    return _(_CARRIED[what])


def note(code: str, **facts: object) -> str:
    """A default, a limit or a caution."""
    return _(_NOTES[code], **facts)


def name(symbol: str) -> str:
    """The name of a line of working."""
    return _(_NAMES[symbol])


def walking(n: int, sigma: float, steady: float) -> str:
    """Why not to locate each tooth from the one cut before it."""
    first = _("Never sit in a space that was just cut: scatter grows with the root of the count, a steady part with "
              "the count itself.")  # fmt: skip
    if n < 2 or (sigma == 0 and steady == 0):
        return first
    return (
        first
        + " "
        + _(
            "Over {n} spaces: {sigma:.0f} µm of scatter and up to {steady:.0f} µm steady.",
            n=n,
            sigma=sigma,
            steady=steady,
        )
    )


def says(touches: str, away: int, z: int, place_um: float) -> str:
    """The whole in two sentences."""
    where = ngettext_("{n} tooth", "{n} teeth", abs(away))
    side = _("ahead of the cutter") if away > 0 else _("behind the cutter")
    held = _("A new tooth stands within {um:.0f} µm of its place.", um=place_um)
    if touches not in ("both_flanks", "plus_flank", "minus_flank"):
        held = _("As it sits it does not hold the ring.")
    return " ".join([_("The detent stands {where} {side}.", where=where, side=side), held])
