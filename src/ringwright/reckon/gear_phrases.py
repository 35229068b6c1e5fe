"""The words of what the geometry of a ring refuses."""

from __future__ import annotations

from ringwright.reckon import phrases
from ringwright.words import N_

phrases.learn(
    "tooth_has_no_thickness",
    N_("Profile shift and allowance together leave a tooth of {value} at the reference circle."),
    N_("More than {low} and less than one pitch, {high}."),
    N_("Look at profile_shift and thickness_allowance_mm."),
)
phrases.learn(
    "tip_beyond_root",
    N_("The tip circle, {value}, lies on the wrong side of the root circle, {root}."),
    N_("External: tip larger than root. Internal: tip smaller than root."),
    N_("Look at the two diameters and at kind."),
)
phrases.learn(
    "external_only",
    N_("This is reckoned for external rings only."),
    N_("kind “external”."),
    N_("Leave this measure out for an internal ring."),
)
phrases.learn(
    "spur_only",
    N_("This is reckoned for straight teeth only."),
    N_("helix_angle_deg 0."),
    N_("Leave this measure out for a helical ring."),
)
phrases.learn(
    "rack_pointed",
    N_("No cutter with these flanks reaches so deep: they meet above the root."),
    N_("A smaller dedendum, a smaller pressure angle or more allowance."),
    N_("Look at dedendum_coef, root_diameter_mm and pressure_angle_deg."),
)
phrases.learn(
    "tooth_pointed",
    N_("The two flanks meet below the tip circle, {value}."),
    N_("A tip circle on which the tooth still has a land."),
    N_("Give the real tip_diameter_mm, or look at profile_shift."),
)
phrases.learn(
    "no_flank",
    N_("The tip circle, {value}, leaves no involute above the root fillet."),
    N_("More than {low}."),
    N_("Look at tip_diameter_mm."),
)

phrases.learn(
    "chamfer_too_wide",
    N_("Chamfers of {value} leave nothing of the tip."),
    N_("Less than half of the tip thickness, {high}."),
    N_("Look at tip_chamfer_mm."),
)
phrases.learn(
    "internal_only",
    N_("A shaper cutter is asked for with internal rings only; external ones are taken as cut by a rack."),
    N_("kind “internal”."),
    N_("Leave shaper out for an external ring."),
)
phrases.learn(
    "shaper_too_many_teeth",
    N_("A shaper cutter of {value} teeth finds no place in this ring."),
    N_("{low} to {high} teeth, fewer where the ring's space is narrow."),
    N_("Give a cutter with fewer teeth."),
)
phrases.learn(
    "shaper_pointed",
    N_("The flanks of a shaper cutter of {value} teeth meet before it reaches the root circle."),
    N_("A cutter with more teeth, or a smaller dedendum."),
    N_("Look at shaper.teeth, shaper.profile_shift and the ring's dedendum_coef or root_diameter_mm."),
)
phrases.learn(
    "shaper_tip_inside_base",
    N_("A shaper cutter that ends at this root circle, {value}, has no involute."),
    N_("A larger root circle."),
    N_("Look at the ring's root_diameter_mm and dedendum_coef."),
)
