// The arrays of one cut as the server reckoned them, and the points that are drawn from them. No gear sums here: the
// tooth is its half angles over the radius, the cut its sheet of heights; both come with the page.

export type Three = readonly [number, number, number];

export interface Front {
  at: Three;
  across: Three;
  along: Three;
  infeed: Three;
  rows_mm: number[];
  low_mm: number[];
  high_mm: number[];
  places: number[];
  height_mm: (number | null)[][];
}

export interface Tooth {
  radius_mm: number[];
  half_angle_deg: number[];
  pitch_deg: number;
  twist_deg_per_mm: number;
  face_width_mm: number;
}

export interface Shape {
  infeed_mm: number;
  most_mm: number;
  tool_axis: Three;
  tip_at_touch_off: Three;
  cutter_profile_mm: [number, number][];
  front: Front;
  tooth: Tooth;
}

/** A height that is never reached, in arrays that must hold numbers. */
export const NEVER = 1e9;
const RAD = Math.PI / 180;

/** Triangles or lines as flat arrays of points (r, t, a). */
export class Points {
  readonly xyz: number[] = [];

  quad(a: Three, b: Three, c: Three, d: Three): void {
    this.xyz.push(...a, ...b, ...c, ...a, ...c, ...d);
  }

  line(a: Three, b: Three): void {
    this.xyz.push(...a, ...b);
  }
}

/** A point at a radius, an angle at the entry face and a depth, carried along the helix. */
export function place(tooth: Tooth, radius: number, angle: number, a: number): Three {
  const turned = angle + tooth.twist_deg_per_mm * RAD * a;
  return [radius * Math.cos(turned), radius * Math.sin(turned), a];
}

/** The surfaces of the teeth `from` to `to` (0 is the one at +t), and of the rim under them. */
export function teeth(tooth: Tooth, from: number, to: number, rim: number): Points {
  const out = new Points();
  const pitch = tooth.pitch_deg * RAD;
  const radii = tooth.radius_mm;
  const half = tooth.half_angle_deg.map((x) => x * RAD);
  const last = radii.length - 1;
  const depths = steps(tooth.face_width_mm, tooth.twist_deg_per_mm === 0 ? 1 : 24);
  const root = radii[0] as number;
  const back = root + (root < (radii[last] as number) ? -rim : rim);
  const at = (i: number, angle: number, a: number): Three => place(tooth, radii[i] as number, angle, a);
  for (let j = from; j <= to; j += 1) {
    const mid = (j + 0.5) * pitch;
    for (let n = 0; n + 1 < depths.length; n += 1) {
      const [a, b] = [depths[n] as number, depths[n + 1] as number];
      for (const side of [1, -1]) {
        for (let i = 0; i < last; i += 1) {
          const [p, q] = [mid + side * (half[i] as number), mid + side * (half[i + 1] as number)];
          out.quad(at(i, p, a), at(i + 1, q, a), at(i + 1, q, b), at(i, p, b));
        }
        const edge = mid + side * (half[0] as number);
        strip(out, tooth, root, edge, mid + (side * pitch) / 2, a, b);
      }
      const tip = half[last] as number;
      strip(out, tooth, radii[last] as number, mid - tip, mid + tip, a, b);
    }
    for (const a of [0, tooth.face_width_mm]) {
      for (let i = 0; i < last; i += 1) {
        const [p, q] = [half[i] as number, half[i + 1] as number];
        out.quad(at(i, mid - p, a), at(i, mid + p, a), at(i + 1, mid + q, a), at(i + 1, mid - q, a));
      }
      for (let k = 0; k < 8; k += 1) {
        const [p, q] = [mid + (k / 8 - 0.5) * pitch, mid + ((k + 1) / 8 - 0.5) * pitch];
        out.quad(place(tooth, back, p, a), place(tooth, back, q, a), place(tooth, root, q, a), place(tooth, root, p, a));
      }
    }
  }
  return out;
}

function strip(out: Points, tooth: Tooth, radius: number, from: number, to: number, a: number, b: number): void {
  for (let k = 0; k < 4; k += 1) {
    const [p, q] = [from + ((to - from) * k) / 4, from + ((to - from) * (k + 1)) / 4];
    out.quad(place(tooth, radius, p, a), place(tooth, radius, q, a), place(tooth, radius, q, b), place(tooth, radius, p, b));
  }
}

/** The edges that a draughtsman would draw: the outline on both faces, the edges of the tip. */
export function edges(tooth: Tooth, from: number, to: number): Points {
  const out = new Points();
  const pitch = tooth.pitch_deg * RAD;
  const radii = tooth.radius_mm;
  const half = tooth.half_angle_deg.map((x) => x * RAD);
  const last = radii.length - 1;
  const fine = 6; // pieces of each stretch, so that what is cut away ends where the cut does
  for (let j = from; j <= to; j += 1) {
    const mid = (j + 0.5) * pitch;
    for (const side of [1, -1]) {
      for (const a of [0, tooth.face_width_mm]) {
        for (let i = 0; i < last; i += 1) {
          const p = place(tooth, radii[i] as number, mid + side * (half[i] as number), a);
          out.line(p, place(tooth, radii[i + 1] as number, mid + side * (half[i + 1] as number), a));
        }
      }
      const tip = mid + side * (half[last] as number);
      const depths = steps(tooth.face_width_mm, 12 * fine);
      for (let n = 0; n + 1 < depths.length; n += 1) {
        const r = radii[last] as number;
        out.line(place(tooth, r, tip, depths[n] as number), place(tooth, r, tip, depths[n + 1] as number));
      }
    }
    for (const a of [0, tooth.face_width_mm]) {
      for (let k = 0; k < 4 * fine; k += 1) {
        const wide = half[last] as number;
        const p = mid - wide + (2 * wide * k) / (4 * fine);
        const r = radii[last] as number;
        out.line(place(tooth, r, p, a), place(tooth, r, p + (2 * wide) / (4 * fine), a));
        const [e, gap] = [mid + (half[0] as number), pitch - 2 * (half[0] as number)];
        const root = radii[0] as number;
        out.line(place(tooth, root, e + (gap * k) / (4 * fine), a), place(tooth, root, e + (gap * (k + 1)) / (4 * fine), a));
      }
    }
  }
  return out;
}

function steps(length: number, n: number): number[] {
  return Array.from({ length: n + 1 }, (_x, k) => (length * k) / n);
}

/** The sheet at touch-off as triangles, with walls along the infeed where it ends: what is behind it is gone. */
export function sheet(front: Front, wall: number): Points {
  const out = new Points();
  const grid = front.rows_mm.map((x, i) =>
    front.places.map((share, j): Three | undefined => {
      const h = front.height_mm[i]?.[j];
      if (h === null || h === undefined) return undefined;
      const y = (front.low_mm[i] as number) * (1 - share) + (front.high_mm[i] as number) * share;
      return along(front, x, y, -h);
    }),
  );
  const behind = (p: Three): Three => [
    p[0] - wall * front.infeed[0],
    p[1] - wall * front.infeed[1],
    p[2] - wall * front.infeed[2],
  ];
  const curtain = (p: Three | undefined, q: Three | undefined): void => {
    if (p && q) out.quad(p, q, behind(q), behind(p));
  };
  for (let i = 0; i + 1 < grid.length; i += 1) {
    const [row, next] = [grid[i] ?? [], grid[i + 1] ?? []];
    for (let j = 0; j + 1 < row.length; j += 1) {
      const [a, b, c, d] = [row[j], row[j + 1], next[j + 1], next[j]];
      if (a && b && c && d) out.quad(a, b, c, d);
    }
    curtain(row[0], next[0]);
    curtain(row[row.length - 1], next[next.length - 1]);
  }
  for (const row of [grid[0] ?? [], grid[grid.length - 1] ?? []]) {
    for (let j = 0; j + 1 < row.length; j += 1) curtain(row[j], row[j + 1]);
  }
  return out;
}

/** A point of the sheet's own frame in (r, t, a). */
export function along(front: Front, x: number, y: number, z: number): Three {
  const { at, across, along: v, infeed } = front;
  return [
    at[0] + x * across[0] + y * v[0] + z * infeed[0],
    at[1] + x * across[1] + y * v[1] + z * infeed[1],
    at[2] + x * across[2] + y * v[2] + z * infeed[2],
  ];
}
