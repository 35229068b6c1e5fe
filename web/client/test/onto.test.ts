import { describe, expect, test } from "vitest";
import type { Row, Sheet } from "../src/fold";
import { onTo, usualMove } from "../src/onto";

const row = (tooth: number, deg: number, lap = 1): Row => ({
  tooth,
  lap,
  move_words: "",
  position: { turns: null, hole: null, dial: null, spindle_deg: deg },
  infeed_words: "",
  infeed_mm: null,
  passes: 1,
  zone: "sound",
  speed_words: "",
});
const sheet = (teeth: number, rows: Row[]): Sheet => ({
  rows,
  witness: { kind: "painted", every: 10, within_deg: 90 / teeth },
  rechecks: [],
  least_seconds: 0,
  closing: { divisions: teeth, hole: null, spindle_deg: 0 },
});
const all = Array.from({ length: 12 }, (_, i) => row(i + 1, 30 * i));

describe("how far it is to the first tooth", () => {
  test("one move from the last of a whole lap", () => {
    expect(usualMove(sheet(12, all))).toBe(30);
    expect(onTo(sheet(12, all), 12)).toBe("one_move");
  });

  test("further from the last of a second lap of hard teeth", () => {
    const laps = [...all.filter((one) => ![5, 6].includes(one.tooth)), row(5, 120, 2), row(6, 150, 2)];
    expect(onTo(sheet(12, laps), 6)).toBe("far");
    expect(onTo(sheet(12, laps), 12)).toBe("one_move");
  });

  test("further when only some teeth were to be cut", () => {
    expect(onTo(sheet(12, all.slice(2, 8)), 8)).toBe("far");
  });

  test("one move when a move goes several spaces on and the lap goes round several times", () => {
    const five = Array.from({ length: 12 }, (_, i) => row(((5 * i) % 12) + 1, (150 * i) % 360));
    expect(usualMove(sheet(12, five))).toBe(150);
    expect(onTo(sheet(12, five), five.at(-1)!.tooth)).toBe("one_move");
    expect(onTo(sheet(12, five), 12)).toBe("far");
  });

  test("not said to be one move where the sheet cannot tell", () => {
    expect(onTo(sheet(12, all.slice(0, 1)), 1)).toBe("far");
    expect(onTo(sheet(12, all), 99)).toBe("far");
  });
});
