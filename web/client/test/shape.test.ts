import { expect, test } from "vitest";
import { type Front, inside, Sheet, type Tooth, toothEdges, toothSurface } from "../src/shape";

// A flat sheet 10 by 10 square to the ring's axis, at touch-off 2 deep: a cutter that plunges along a.
const places = [0, 0.1464466, 0.5, 0.8535534, 1];
const front: Front = {
  at: [100, 0, 0],
  across: [1, 0, 0],
  along: [0, 1, 0],
  infeed: [0, 0, 1],
  rows_mm: places.map((x) => 10 * x - 5),
  low_mm: places.map(() => -5),
  high_mm: places.map(() => 5),
  places,
  height_mm: places.map(() => places.map(() => -2)),
};
const tooth: Tooth = {
  radius_mm: [95, 97.5, 105], // the second at a quarter of the height
  half_angle_deg: [2, 1.75, 1],
  pitch_deg: 6,
  twist_deg_per_mm: 0,
  face_width_mm: 20,
};

test("the sheet tells when a place is reached, and how far inside it lies", () => {
  const got: [number, number] = [0, 0];
  new Sheet(front).at(101, 1, 7, got);
  expect(got[0]).toBeCloseTo(5, 9); // 7 deep, the sheet stands 2 in front
  expect(got[1]).toBeCloseTo(4, 9); // 4 from its nearest end
  new Sheet(front).at(107, 0, 7, got);
  expect(got[1]).toBeCloseTo(-2, 9);
});

test("inside the tooth, the rim and nothing else", () => {
  const at = (radius: number, degrees: number, a: number): number => {
    const angle = (degrees * Math.PI) / 180;
    return inside(tooth, 10, radius * Math.cos(angle), radius * Math.sin(angle), a);
  };
  expect(at(100, 3, 10)).toBeGreaterThan(0); // the middle of the tooth at +t
  expect(at(100, 0, 10)).toBeLessThan(0); // the worked space
  expect(at(94, 0, 10)).toBeGreaterThan(0); // the rim under it
  expect(at(84, 0, 10)).toBeLessThan(0); // below the rim
  expect(at(106, 3, 10)).toBeLessThan(0); // above the tip
  expect(at(100, 3, -1)).toBeLessThan(0); // in front of the entry face
  expect(at(100, 3, 21)).toBeLessThan(0);
  expect(at(97.5, 4.75, 10)).toBeCloseTo(0, 9); // on the flank
  expect(at(101.25, 3 + 1.375, 10)).toBeCloseTo(0, 9); // and between two of its radii
});

test("every point of the tooth's nets lies on its surface", () => {
  for (const net of [toothSurface(tooth, 10), toothEdges(tooth)]) {
    for (let i = 0; i < net.count; i += 1) {
      const [r, t, a] = net.xyz.slice(3 * i, 3 * i + 3) as [number, number, number];
      expect(inside(tooth, 10, r, t, a)).toBeLessThan(1e-6);
      expect(inside(tooth, 10, r, t, a)).toBeGreaterThan(-1e-6);
    }
    expect(Math.max(...net.index)).toBe(net.count - 1);
  }
});
