"""Which tooth counts are in question, and how likely each is."""

from __future__ import annotations

from dataclasses import dataclass

from ringwright.identify.hypotheses import constants


@dataclass(frozen=True)
class Segments:
    """A ring in ``number`` equal pieces of ``teeth_each`` teeth, counted on one of them."""

    number: int
    teeth_each: int

    @property
    def teeth(self) -> int:
        """Teeth of the whole ring."""
        return self.number * self.teeth_each


def chances_of_counts(z: int, sure: bool, segments: Segments | None = None) -> list[tuple[int, float]]:
    """Tooth counts and their chances, the count as told first; they add up to 1.

    An unsure count may be out by two. Segments told as well put their own count in question, and the ones that a gap
    at the joint taken for a tooth would make of it.

    >>> chances_of_counts(127, True)
    [(127, 1.0)]
    >>> [z for z, _ in chances_of_counts(127, False)]
    [127, 125, 126, 128, 129]
    >>> max(chances_of_counts(127, False, Segments(8, 16)), key=lambda c: c[1])[0]
    128
    """
    if sure:
        return [(z, 1.0)]
    one, two = constants()["count_off_by_one"], constants()["count_off_by_two"]
    chance = {0: 1 - 2 * (one + two), -2: two, -1: one, 1: one, 2: two}
    if segments is None:
        found = {z + off: p for off, p in chance.items() if z + off >= 5}
    else:
        found = _with_segments(z, chance, segments)
    total = sum(found.values())
    return [(n, p / total) for n, p in found.items()]


def _with_segments(z: int, chance: dict[int, float], segments: Segments) -> dict[int, float]:
    stray, joint = constants()["count_stray"], constants()["segment_joint"]
    whole, each = segments.teeth, segments.number
    by_segments = {whole: 1 - 2 * joint - stray, whole - each: joint, whole + each: joint}
    counts = [z + off for off in chance] + list(by_segments)
    return {n: chance.get(n - z, stray) * by_segments.get(n, stray) for n in dict.fromkeys(counts) if n >= 5}
