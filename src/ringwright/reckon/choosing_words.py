"""The words of the ways to save a ring: titles, what closes them, what they need, risk, and what could hurt."""

from __future__ import annotations

from ringwright.words import N_

TITLES = {
    "dress_and_lead_in": N_("Dress the ends and cut a lead-in"),
    "reclock": N_("Re-clock the ring, with a lead-in"),
    "turn_over": N_("Turn the ring over, with a lead-in on the new entry side"),
    "weld_and_recut": N_("Weld up and cut again"),
    "new_ring": N_("New ring"),
}
CLOSED = {
    "duty": N_(
        "It holds people or loads: no verdict is given here. A competent person answerable for the machine decides in"
        " writing, under the local rules for lifting and machinery."
    ),
    "cracked": N_("A tooth is cracked: it is not run on."),
    "missing": N_("A tooth is missing: the drive is lost there and picked up with a blow."),
    "face_lost": N_(
        "More of the face is gone than a tooth may run on with (30 % spur, 50 % helical, one firm's figures)."
    ),
    "seat_fixed": N_("The seat does not let the ring turn."),
    "seat_or_stops_unknown": N_("Where it stops, or which turns the seat allows, is not known."),
    "no_better_place": N_("No allowed turn leaves less damage where it stops."),
    "turning_over_unknown": N_("Whether seat and shoulder take the ring the other way up is not known."),
    "seat_one_way": N_("Seat or shoulder take the ring one way up only."),
    "nothing_gained": N_("Turning it over gains nothing: the other end is no better and no flank is unworn."),
    "nothing_to_weld": N_("No tooth is damaged."),
    "not_weldable": N_("The ring is said not to be weldable."),
    "cast_iron": N_("Cast iron is not welded up here: heat on one part of a cast wheel cracks it."),
    "carbon_unknown": N_("The steel is not known: have its carbon found before anybody welds."),
    "preheat_crosses": N_("Do not weld: the preheat that is asked for is hotter than ring or seat can bear."),
}
NEEDS = {
    "look_for_cracks": N_(
        "Look for cracks in the roots with dye or magnetic powder, three teeth each side of a break."
    ),
    "face_width": N_("Measure the face width."),
    "amounts": N_("Measure what is gone from each marked tooth."),
    "division_and_set_up": N_("A dividing device and a machine that the ring fits on."),
    "seat_marked": N_("Mark ring and seat across before they are parted."),
    "welder": N_("A welder qualified for this steel, and dry low-hydrogen rods."),
    "preheat_record": N_("A record of the heat: before, between runs, and how it cooled."),
    "second_crack_test": N_("A second crack test 48 hours after welding."),
    "price": N_("Ask what a new ring costs and how long it takes."),
}
RISKS = {
    "cause_stays": N_("What chewed the teeth is still there: the damage comes back unless it is found."),
    "thin_entry_corner": N_("The entry corner gets thin; leave a small land and break the edge."),
    "new_zones_wear": N_("The new places wear next."),
    "pinion_worn": N_("A worn pinion ruins the new places too."),
    "old_lead_in_far_side": N_("The old lead-in and the old damage end up on the far side; they still take face away."),
    "idle_flank_unseen": N_("The idle flank becomes the working one: measure it before it is trusted."),
    "cracks": N_("Cracks beside the weld, some of them days later."),
    "hard_and_soft_spots": N_("Hard spots where the cutter enters, soft ones where the customer drives."),
    "distortion": N_("The ring goes out of round and off pitch."),
    "no_strength_known": N_("No published figure says what a welded tooth carries: go lightly and test under load."),
    "waiting": N_("The machine stands until it comes."),
    "wrong_ring": N_("It may be the wrong ring: compare tooth count, span, bore and lead-in side before fitting."),
    "worn_pinion_on_new": N_("A worn pinion spoils a new ring: look at both."),
}
CAUTIONS = {
    "lock_off": N_("Lock the drive off and block the drum or wheel before hands go near the teeth."),
    "count_reverses": N_("Turned over, the teeth count the other way round: number them again, and say so on the map."),
    "entry_side_changes": N_("Mark which face the pinion enters from: a bevel taken for wear wrecks pinions."),
    "metals_before_heat": N_(
        "Before any heat look for zinc, cadmium, bronze and nickel (plating, paint, old repairs): their fumes poison,"
        " and old filler spoils the weld."
    ),
    "fire_watch": N_("Keep a fire watch during the work and after it, with grease and dust cleared away."),
    "earth_clamp": N_("Put the earth clamp on the ring itself; never let the current go through bearings."),
    "preheat_even": N_("Heat the whole neighbourhood evenly, keep it warm, let it cool slowly; never quench."),
    "crack_test_again": N_("Test for cracks when it is cold and again 48 hours later."),
    "codes_first": N_("Local codes and licensed welding practice come before anything said here."),
}
UNKNOWNS = {
    "cracks": N_("Whether there are cracks: one found closes every way but welding under control, or a new ring."),
    "duty": N_("What the machine does: if it holds people or loads there is no verdict here."),
    "steel": N_("Carbon and alloy of the steel: they open or close welding, and set the heat."),
    "hardness": N_("Hardness: hardened teeth rule out preheat above their tempering, and choose the cutter."),
    "face_width": N_("Face width: without it the low end of what is left is nought."),
    "amounts": N_("How much is gone from marked teeth: without it the low end of what is left is nought."),
    "three_heights": N_(
        "Thickness near the root of worn teeth: a step at the fillet or a taper changes what is left most."
    ),
    "stops": N_("Where the machine comes to rest: it decides whether re-clocking helps."),
    "seat": N_("Which turns the seat allows: it opens or closes re-clocking."),
    "turning_over": N_("Whether the ring may go back on the other way up: it opens or closes turning it over."),
    "pinion_land": N_("The flat on the pinion's tooth ends: it is up to half the chance of butting."),
    "ring_land": N_("The flat on the ring's tooth ends now: it sets the chance of butting before."),
    "new_price": N_("Price and waiting time of a new ring: they may end the question."),
    "rates": N_("The shop's rate: without it hours are given and no price."),
    "load": N_("The load: how much of the sound tooth is enough is not decided here."),
    "pinion_state": N_("The pinion's wear: a hooked pinion undoes any of these ways."),
}
WHO_DECIDES = N_(
    "A competent person answerable for the machine (engineer, inspection body, insurer), in writing, under the local"
    " rules; a cracked or broken gear in a hoist is scrapped by most of them."
)
