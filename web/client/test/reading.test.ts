import { expect, test } from "vitest";
import { extraFor } from "../src/reading";

test("a span asks for the teeth spanned, a tip diameter for nothing more", () => {
  const extras = JSON.stringify({ span: "Teeth spanned" });
  expect(extraFor(extras, "span")).toBe("Teeth spanned");
  expect(extraFor(extras, "tip_diameter")).toBeUndefined();
  expect(extraFor(extras, "toString")).toBeUndefined();
});
