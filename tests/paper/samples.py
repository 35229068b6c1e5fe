"""Invented papers of the invented demo ring, for the tests of the papers."""

from fractions import Fraction

from ringwright import paper
from ringwright.paper import drawing

TITLE = paper.Title(
    job="2026-014 Drive ring, compost screen",
    part="Ring, external, 127 teeth, module 5, face 60",
    date="2026-11-25",
    units="mm, degrees",
    revision="2",
    digest="9f3c1a7e55d0",
    made_by="ringwright 0.1.0",
)
NASTY = paper.Title(
    job='#evil[x] $x^2$ "quoted" *bold* \\ <b>&amp; 𝛂 ß ž ₂ {name} @ref',
    part="_under_ `code` // no comment /* */",
    date="2026-11-25",
)


def ring(*, after: bool) -> paper.Drawing:
    teeth = {
        n: drawing.Tooth(damage=() if after else (drawing.Damage("chewed", end="entry"),), done=after)
        for n in [*range(8, 26), *range(70, 91)]
    }
    teeth |= {n: drawing.Tooth(hardness=0.9) for n in range(40, 52)}
    drawn = drawing.ring_svg(drawing.Ring(drawing.Form(127), teeth, stops=(16, 80)), style=drawing.PAPER_STYLE)
    said = "Ring of 127 teeth, two stretches chewed" if not after else "Ring of 127 teeth, lead-in cut on two stretches"
    return paper.Drawing(drawn, said, "After" if after else "Before")


SET_UP = paper.SetUp(
    title=TITLE,
    fit=(
        "Ring flat on parallels on the rotary table, entry face up, clocked on the seat within 0.05.",
        "Swing 645, machine takes 700. Weight about 44 kg: two slings, two people.",
        "Three clamps inside, between the spokes, clear of the cutter at full infeed.",
    ),
    pose=(
        paper.Figure("Head nods", "45° 00′", "", "top leans to the operator"),
        paper.Figure("Head tilts", "0° 00′"),
        paper.Figure("Entry face looks", "up", "", "work at the front, −y"),
    ),
    cutter=(
        paper.Figure("End mill, four flutes", "12.00", "mm", "as measured 11.97"),
        paper.Figure("Overhang", "38", "mm", "no more than 45"),
        paper.Figure("Centred on the space", "0.00", "mm", "both flanks of two sound spaces"),
    ),
    touch_off=(
        "Tip over the middle of the space, radius 337.5, one millimetre below the entry face.",
        "Feed in until the cutter just marks the tooth edge: first contact at radius 322.19.",
        "Set the saddle dial to 0. On a chewed edge add 0.71 mm for every mm of corner lost.",
    ),
    infeed=(
        paper.Figure(
            "Saddle, towards the column", "2 turns + 34 divisions", "", "5.713 mm; 2.00 mm a turn, 0.02 a division"
        ),
        paper.Figure("Knee", "locked"),
    ),
    turns_words="The ring turns anticlockwise seen on the entry face: tooth n + 1 comes from the right.",
    division=(
        paper.Figure("Each tooth", "2° 50′ 04.7″"),
        paper.Figure("Come up", "clockwise", "", "overshot: back half a turn and come up again"),
        paper.Figure("Lock", "both table locks"),
    ),
    speeds=(("sound", "530 /min, 60 mm/min", ""), ("hard", "210 /min, 20 mm/min", "second lap, new cutter")),
    lock=("Table", "Knee", "Quill", "Rotary table"),
    rechecks=(
        "Indicator on the seat: within 0.05.",
        "Cutter phased to tooth 1: both flanks of two sound spaces.",
        "Touch off again on the scribed tooth.",
    ),
    notes=("Default used: feed per tooth 0.03 mm, common practice, no source.", "Burrs form on the far flank."),
    cautions=("Guard on before the spindle turns. The ring is heavier than a person may lift alone.",),
    drawing=ring(after=False),
)


def _row(n: int) -> paper.DivisionRow:
    turns = Fraction(90, 127) * (n - 1)
    whole = int(turns)
    seconds = round((turns - whole) * 4 * 3600)
    dial = f"{seconds // 3600}° {seconds // 60 % 60:02d}′ {seconds % 60:02d}″"
    zone = "hard" if 40 <= n <= 51 else "sound"
    return paper.DivisionRow(n, str(whole), dial, float((n - 1) * Fraction(360, 127)), zone)


DIVISION = paper.Division(
    title=TITLE,
    device="Rotary table 90:1, dial 4° a turn, vernier 10″, always come up clockwise.",
    move="Set the dial to the reading of the tooth; never count on from the last one.",
    setting_word="Dial",
    rows=tuple(_row(n) for n in range(1, 128)),
    closing="One more step from tooth 127 must land on tooth 1: 90 turns, dial 0° 00′ 00″, 0.000 degrees.",
    notes=("Dial readings rounded to 10″: worst neighbour 5″, 8 µm at the reference circle.",),
)
TEETH = paper.ToothSheet(
    title=TITLE,
    laps=(
        tuple((n, "sound") for n in range(1, 128) if not 38 <= n <= 53),
        tuple((n, "weld" if 44 <= n <= 46 else "heat_affected" if n in (43, 47) else "hard") for n in range(38, 54)),
    ),
    how="One tick when the tooth is cut and the table unlocked. A tooth skipped gets a ring round its number.",
    notes=("Read the witness after every ten teeth.",),
)
HAND_OVER = paper.HandOver(
    title=TITLE,
    customer="The compost works",
    identification=(
        paper.Figure("Module", "5", "mm"),
        paper.Figure("Pressure angle", "20°"),
        paper.Figure("Teeth", "127", "", "counted twice"),
    ),
    sure="94 in 100; next likely 5 diametral pitch, 4 in 100. Span over 15 and 16 teeth and the tip diameter agree.",
    before=ring(after=False),
    after=ring(after=True),
    done=(
        "Lead-in of 1.0 mm cut on both flanks of the entry end, all 127 spaces.",
        "Teeth 40 to 51 found hard and cut in a second lap at lower speed.",
        "Ring turned by 31 teeth on its seat, so that other teeth stand where it stops.",
    ),
    measured=(
        paper.Measured("Lead-in", "tooth 1", "1.05 mm", "1.00 ± 0.30", "holds", "A. N.", "depth micrometer"),
        paper.Measured("End land", "tooth 64", "3.62 mm", "4.05 ± 0.30", "fails", "A. N.", "tooth caliper"),
        paper.Measured("Cracks", "all", "none found", "none", "seen", "B. O.", "dye"),
    ),
    not_warranted=(
        "Life of the teeth that were not touched.",
        "The old weld: its depth is not known.",
    ),
    cautions=("Run the first hour with the guard on and listen. Crack test again after 48 hours.",),
    back_on="Entry face towards the lever, paint mark on the seat's paint mark.",
)
