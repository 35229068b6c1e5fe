import { describe, expect, it } from "vitest";
import kept from "../../../tests/fold_vectors.json";
import { fold, type Logged, type Sheet } from "../src/fold";

interface Vector {
  name?: string;
  sheet: Sheet;
  digest?: string;
  log: Logged[];
  state: unknown;
}

const vectors = kept as unknown as Vector[];

describe("the fold", () => {
  it("has vectors to be held to", () => {
    expect(vectors.length).toBeGreaterThan(20);
  });

  it.each(vectors.map((vector, i) => [vector.name ?? String(i), vector] as const))("%s", (_name, vector) => {
    expect(fold(vector.sheet, vector.digest ?? "", vector.log)).toEqual(vector.state);
  });

  it("sees a difference", () => {
    const vector = vectors.find((one) => one.log.length > 3)!;
    expect(fold(vector.sheet, vector.digest ?? "", vector.log.slice(0, -1))).not.toEqual(vector.state);
  });
});
