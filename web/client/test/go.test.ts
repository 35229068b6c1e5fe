import { describe, expect, test } from "vitest";
import { wayTo } from "../src/go";

describe("where a touched tooth leads", () => {
  test("on Prove to a check there, of the same kind when one is open", () => {
    expect(wayTo("/jobs/a-1/prove", "?what=lead&tooth=3", "17")).toBe("/jobs/a-1/prove?what=lead&tooth=17#one");
    expect(wayTo("/jobs/a-1/prove", "", "17")).toBe("/jobs/a-1/prove?tooth=17#one");
  });

  test("also after a form was refused at its own address", () => {
    expect(wayTo("/jobs/a-1/prove/check", "", "17")).toBe("/jobs/a-1/prove?tooth=17#one");
  });

  test("elsewhere to the map", () => {
    expect(wayTo("/jobs/a-1/decide", "", "83")).toBe("/jobs/a-1/map?tooth=83");
  });

  test("nowhere without a tooth or a job", () => {
    for (const tooth of [undefined, "", "0", "12345", "1&x=2"]) expect(wayTo("/jobs/a/prove", "", tooth)).toBeUndefined();
    expect(wayTo("/kit", "", "1")).toBeUndefined();
  });

  test("what stands in the address is not taken as more than a word", () => {
    expect(wayTo("/jobs/a/prove", "?what=a%26b%23c", "1")).toBe("/jobs/a/prove?what=a%26b%23c&tooth=1#one");
  });
});
