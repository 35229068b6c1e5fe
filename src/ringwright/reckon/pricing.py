"""``estimate``: hours and price with their spread, against a new ring, and what the observed pace says."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from ringwright import tables
from ringwright.errors import Refusal
from ringwright.estimating import spread
from ringwright.estimating.spread import Spread
from ringwright.reckon import phrases
from ringwright.reckon.base import Answered, Asked, Came, Given, Note, Operation, Record, WorkingLine
from ringwright.words import N_, _

phrases.learn(
    "out_of_order",
    N_("These times do not rise: {value} stands out of order."),
    N_("Low, likely and high (or P50 and P80) in rising order."),
    N_("Look at the three times and their unit."),
)
phrases.learn(
    "three_or_two",
    N_("An element needs either three times or two."),
    N_("low_min, likely_min and high_min; or p50_min and p80_min."),
    N_("Give one of the two sets, whole, and leave the other out."),
)
phrases.learn(
    "teeth_needed",
    N_("The number of teeth is needed."),
    N_("“teeth” where an element counts per tooth, the usual handling is asked for, or learning is given."),
    N_("Put “teeth” in."),
)
phrases.learn(
    "nothing_to_estimate",
    N_("There is nothing to estimate."),
    N_("At least one of elements, usual_handling, learning, pace."),
    N_("Name what has to be done, or give the observed pace."),
)
phrases.learn(
    "too_few_teeth",
    N_("A pace cannot be read off fewer than five teeth."),
    N_("At least 5 seconds between marks."),
    N_("Cut a few teeth more, then ask again."),
)


#: Below this share of the time in the metal, the answer says that faster cutting does not help (rule of this program).
LITTLE = 0.25


class Element(Record):
    """One thing to do. Low and high: quicker, or slower, one time in ten."""

    name: str = Field(min_length=1, max_length=80)
    per: Literal["job", "tooth"] = "job"
    cutting: bool = Field(False, description="the cutter is in the metal; all else is handling")
    low_min: float | None = Field(None, ge=0, le=1e6)
    likely_min: float | None = Field(None, ge=0, le=1e6)
    high_min: float | None = Field(None, ge=0, le=1e6)
    p50_min: float | None = Field(None, gt=0, le=1e6)
    p80_min: float | None = Field(None, gt=0, le=1e6)

    @model_validator(mode="after")
    def _one_set(self) -> Self:
        three = [t is not None for t in (self.low_min, self.likely_min, self.high_min)]
        two = [t is not None for t in (self.p50_min, self.p80_min)]
        if not ((all(three) and not any(two)) or (all(two) and not any(three))):
            raise ValueError("three_or_two")
        return self

    def spread(self) -> Spread:
        """Mean and variance of one go [min]."""
        if self.p50_min is not None and self.p80_min is not None:
            return spread.from_two(self.p50_min, self.p80_min)
        assert self.low_min is not None  # _one_set holds
        assert self.likely_min is not None
        assert self.high_min is not None
        return spread.from_three(self.low_min, self.likely_min, self.high_min)


class Purchase(Record):
    """Something bought: cutters, consumables, outside work."""

    name: str = Field(min_length=1, max_length=80)
    price: float = Field(ge=0, le=1e8)
    count: int = Field(1, ge=1, le=10_000)


class Learning(Record):
    """A unit-time learning curve: each doubling of the count takes ``rate`` of the time, down to the floor."""

    first_s: float = Field(gt=0, le=1e6)
    rate: float = Field(ge=0.5, le=1)
    floor_s: float = Field(0.0, ge=0, le=1e6)


class NewRing(Record):
    """What a new ring costs, and how long one waits."""

    price: float = Field(ge=0, le=1e9)
    lead_days: int | None = Field(None, ge=0, le=3000)


class Observed(Record):
    """Seconds between the marks of the round so far, and how many teeth are still to go."""

    seconds: tuple[float, ...] = Field(max_length=2000)
    teeth_left: int = Field(ge=0, le=1000)


class EstimateAsked(Asked):
    """What has to be done and bought, at which rates."""

    elements: tuple[Element, ...] = Field((), max_length=100)
    teeth: int | None = Field(None, ge=1, le=1000)
    usual_handling: bool = Field(False, description="add the trade's manual elements per tooth")
    learning: Learning | None = None
    purchases: tuple[Purchase, ...] = Field((), max_length=100)
    hour_rate: float = Field(60.0, ge=0, le=10_000)
    contingency: float = Field(0.15, ge=0, le=1)
    margin: float = Field(0.2, ge=0, le=0.95)
    currency: str = Field("EUR", max_length=8)
    new_ring: NewRing | None = None
    pace: Observed | None = None

    @model_validator(mode="after")
    def _something_whole(self) -> Self:
        if not (self.elements or self.usual_handling or self.learning or self.pace):
            raise ValueError("nothing_to_estimate")
        counts = self.usual_handling or self.learning or any(e.per == "tooth" for e in self.elements)
        if counts and self.teeth is None:
            raise ValueError("teeth_needed")
        return self


class Percentiles(Given):
    """Not passed in 10, 50, 80 and 90 cases of 100."""

    p10: float
    p50: float
    p80: float
    p90: float


class Money(Given):
    """Price in the middle, and the one to quote from."""

    p50: float
    p80: float


class Item(Given):
    """One element of the sum."""

    name: str
    mean_h: float
    p50_h: float
    p80_h: float


class AgainstNew(Given):
    """The repair beside a new ring."""

    new_price: float
    saved_p50: float
    saved_p80: float
    chance_cheaper: float
    lead_days: int | None


class PaceAnswer(Given):
    """What the observed pace says."""

    seconds_per_tooth: float
    teeth_counted: int
    pauses_left_out: int
    teeth_left: int
    minutes_left: Percentiles


class EstimateAnswer(Answered):
    """Hours and price, each with its spread; null where only a pace was given."""

    hours: Percentiles | None
    mean_hours: float | None
    cutting_hours: float | None
    cutting_share: float | None
    purchases: float
    base_cost: Money | None
    price: Money | None
    currency: str
    items: tuple[Item, ...]
    against_new: AgainstNew | None
    pace: PaceAnswer | None


def _percentiles(total: Spread) -> Percentiles:
    return Percentiles(**{f"p{p}": total.quantile(p / 100) for p in (10, 50, 80, 90)})


def _hours(asked: EstimateAsked) -> list[tuple[str, Spread]]:
    """Every element by name, with its spread [h]."""
    teeth = asked.teeth or 0
    found = []
    for i, e in enumerate(asked.elements):
        try:
            one = e.spread()
        except Refusal as refusal:
            refusal.at = (i,)
            raise
        found.append((e.name, one.times((teeth if e.per == "tooth" else 1) / 60)))
    if asked.usual_handling:
        one = Spread(0.0, 0.0)
        for row in tables.load("handling"):
            likely, factor = float(row["likely_s"]), float(row["spread_factor"])
            one = one + spread.from_three(likely / factor, likely, likely * factor)
        found.append((_("handling by hand, {teeth} teeth", teeth=teeth), one.times(teeth / 3600)))
    if asked.learning is not None:
        run = asked.learning
        seconds = spread.learning_seconds(teeth, run.first_s, run.rate, run.floor_s)
        found.append((_("the run of {teeth} teeth, with learning", teeth=teeth), Spread(seconds / 3600, 0.0)))
    return found


def _cutting(asked: EstimateAsked, items: list[tuple[str, Spread]]) -> float | None:
    """Mean hours in the metal; None where no element is marked so."""
    marked = [s.mean for e, (_name, s) in zip(asked.elements, items) if e.cutting]
    return sum(marked) if marked else None


def _chance_cheaper(total: Spread, asked: EstimateAsked, bought: float, new_price: float) -> float:
    """Share of the spread for which the repair's price stays below the new ring's."""
    low, high = 0.0, 1.0
    for _step in range(40):  # the price grows with the hours, so the crossing is found by halving
        middle = (low + high) / 2
        hours = total.quantile(min(max(middle, 1e-9), 1 - 1e-9))
        if spread.price(spread.base_cost(hours, asked.hour_rate, bought), asked.contingency, asked.margin) < new_price:
            low = middle
        else:
            high = middle
    return round(low, 6)


def _pace(asked: EstimateAsked) -> PaceAnswer | None:
    if asked.pace is None:
        return None
    told = spread.pace(asked.pace.seconds, asked.pace.teeth_left)
    left = Spread(told.left.mean / 60, told.left.variance / 3600)
    return PaceAnswer(
        seconds_per_tooth=told.mean_s,
        teeth_counted=told.used,
        pauses_left_out=told.pauses,
        teeth_left=asked.pace.teeth_left,
        minutes_left=_percentiles(left),
    )


def _notes(asked: EstimateAsked, pace: PaceAnswer | None, cutting: float | None, total: float) -> tuple[Note, ...]:
    found = []

    def note(code: str, text: str) -> None:
        found.append(Note(code=code, text=text))

    given = asked.model_fields_set
    if asked.elements or asked.usual_handling or asked.learning:
        for name, shown in (
            ("hour_rate", f"{asked.hour_rate:g} {asked.currency}"),
            ("contingency", f"{asked.contingency:.0%}"),
            ("margin", f"{asked.margin:.0%}"),
            ("currency", asked.currency),
        ):
            if name not in given:
                note(f"{name}_used", _("{name}: {shown} was used, none was given.", name=name, shown=shown))
        note(
            "how_added",
            _("Elements are taken as independent, the teeth of one element as quick or slow together."),
        )
        note("what_contingency_is", _("Contingency is for what nobody listed; the spread is of what is listed."))
    if cutting is not None and total > 0 and cutting / total < LITTLE:
        note(
            "cutting_is_little",
            _(
                "Only {share} of it is cutting. A faster feed saves next to nothing; a better stop for indexing, fewer "
                "turns to lock and no lost count do.",
                share=f"{cutting / total:.0%}",
            ),
        )
    if asked.usual_handling:
        note("handling_used", _("Manual times are common practice of the trade, half to double."))
    if asked.learning is not None:
        note("learning_has_no_spread", _("The learning curve is a line without spread of its own."))
    if pace is not None and pace.pauses_left_out:
        note("pauses_left_out", _("Gaps above five times the middle one were taken as pauses and left out."))
    return tuple(found)


def estimate(asked: EstimateAsked) -> EstimateAnswer:
    """Hours and price with their spread."""
    items = _hours(asked)
    bought = sum(p.price * p.count for p in asked.purchases)
    pace = _pace(asked)
    total = sum((s for _name, s in items), Spread(0.0, 0.0))
    hours = cost = price = against = None
    if items:
        hours = _percentiles(total)
        costs = [spread.base_cost(h, asked.hour_rate, bought) for h in (hours.p50, hours.p80)]
        prices = [spread.price(c, asked.contingency, asked.margin) for c in costs]
        cost, price = Money(p50=costs[0], p80=costs[1]), Money(p50=prices[0], p80=prices[1])
        if asked.new_ring is not None:
            new = asked.new_ring.price
            against = AgainstNew(
                new_price=new,
                saved_p50=new - prices[0],
                saved_p80=new - prices[1],
                chance_cheaper=_chance_cheaper(total, asked, bought, new),
                lead_days=asked.new_ring.lead_days,
            )
    cutting = _cutting(asked, items)
    return EstimateAnswer(
        hours=hours,
        mean_hours=total.mean if items else None,
        cutting_hours=cutting,
        cutting_share=None if cutting is None or total.mean <= 0 else cutting / total.mean,
        purchases=bought,
        base_cost=cost,
        price=price,
        currency=asked.currency,
        items=tuple(Item(name=name, mean_h=s.mean, p50_h=s.quantile(0.5), p80_h=s.quantile(0.8)) for name, s in items),
        against_new=against,
        pace=pace,
        notes=_notes(asked, pace, cutting, total.mean),
        sources=("swanson-rule", "lognormal-sum", "job-costing", *(("handling-elements",) * asked.usual_handling)),
        working=_working(asked, total, hours, bought, cost, price) if asked.working else None,
    )


def _working(
    asked: EstimateAsked,
    total: Spread,
    hours: Percentiles | None,
    bought: float,
    cost: Money | None,
    price: Money | None,
) -> tuple[WorkingLine, ...]:
    if hours is None or cost is None or price is None:
        return ()
    return (
        WorkingLine(
            symbol="T80",
            name=_("hours not passed in 80 cases of 100"),
            formula="T = m exp(0.8416 σ − σ²/2), σ² = ln(1 + V/m²)",
            put_in=f"m = {total.mean:.3f}, V = {total.variance:.4f}",
            value=hours.p80,
            unit="h",
            source="lognormal-sum",
        ),
        WorkingLine(
            symbol="B80",
            name=_("cost before contingency and margin"),
            formula="B = T · rate + bought",
            put_in=f"{hours.p80:.2f} · {asked.hour_rate:g} + {bought:g}",
            value=cost.p80,
            unit=asked.currency,
            source="job-costing",
        ),
        WorkingLine(
            symbol="P80",
            name=_("price"),
            formula="P = B (1 + contingency) / (1 − margin)",
            put_in=f"{cost.p80:.2f} · (1 + {asked.contingency:g}) / (1 − {asked.margin:g})",
            value=price.p80,
            unit=asked.currency,
            source="job-costing",
        ),
    )


ESTIMATE = Operation(
    name="estimate",
    purpose=N_("Hours and price with their spread, against a new ring; the finish from the observed pace."),
    asked=EstimateAsked,
    answered=EstimateAnswer,
    do=estimate,
    came_from={
        "low": Came("elements[{0}].low_min", "min"),
        "likely": Came("elements[{0}].likely_min", "min"),
        "high": Came("elements[{0}].high_min", "min"),
        "p50": Came("elements[{0}].p50_min", "min"),
        "p80": Came("elements[{0}].p80_min", "min"),
        "seconds": Came("pace.seconds"),
        "second": Came("pace.seconds[{0}]", "s"),
        "contingency": Came("contingency"),
        "margin": Came("margin"),
        "rate": Came("learning.rate"),
        "teeth": Came("teeth"),
        "first": Came("learning.first_s", "s"),
        "floor": Came("learning.floor_s", "s"),
    },
)
