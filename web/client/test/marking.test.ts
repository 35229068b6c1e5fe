import { describe, expect, it } from "vitest";
import { dragged, step, within } from "../src/marking";
import { scrollFor } from "../src/strip";

describe("counting round the ring", () => {
  it("goes from the last tooth to the first and back", () => {
    expect(step(127, 1, 127)).toBe(1);
    expect(step(1, -1, 127)).toBe(127);
    expect(step(5, -10, 127)).toBe(122);
    expect(step(60, 127, 127)).toBe(60);
  });

  it("takes a drag the short way, in counting direction whichever way the finger went", () => {
    expect(dragged(18, 25, 127)).toEqual({ first: 18, last: 25 });
    expect(dragged(25, 18, 127)).toEqual({ first: 18, last: 25 });
    expect(dragged(125, 3, 127)).toEqual({ first: 125, last: 3 });
    expect(dragged(3, 125, 127)).toEqual({ first: 125, last: 3 });
    expect(dragged(7, 7, 127)).toEqual({ first: 7, last: 7 });
  });

  it("knows which teeth lie in a stretch over the end of the count", () => {
    const inside = [124, 125, 126, 127, 1, 2, 3, 4].filter((n) => within(n, 125, 3, 127));
    expect(inside).toEqual([125, 126, 127, 1, 2, 3]);
  });
});

describe("the strip", () => {
  it("puts the tooth in the middle, and stays inside at both ends", () => {
    expect(scrollFor(64, 127, 6096, 360)).toBeCloseTo(3048 - 180, 6);
    expect(scrollFor(1, 127, 6096, 360)).toBe(0);
    expect(scrollFor(127, 127, 6096, 360)).toBe(6096 - 360);
  });
});
