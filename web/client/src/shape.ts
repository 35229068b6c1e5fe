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

/** Places (r, t, a) and which three of them make a triangle, or which two a line. */
export class Points {
  readonly xyz: number[] = [];
  readonly index: number[] = [];

  get count(): number {
    return this.xyz.length / 3;
  }

  /** A net of `wide` by `tall` places; `at` gives each one, undefined leaves the cells round it out. */
  net(wide: number, tall: number, at: (i: number, j: number) => Three | undefined): void {
    const first: number[] = [];
    for (let i = 0; i < wide; i += 1) {
      for (let j = 0; j < tall; j += 1) {
        const p = at(i, j);
        first.push(p ? this.count : -1);
        if (p) this.xyz.push(...p);
      }
    }
    for (let i = 0; i + 1 < wide; i += 1) {
      for (let j = 0; j + 1 < tall; j += 1) {
        const [a, b] = [first[i * tall + j] as number, first[i * tall + j + 1] as number];
        const [c, d] = [first[(i + 1) * tall + j + 1] as number, first[(i + 1) * tall + j] as number];
        if (a >= 0 && b >= 0 && c >= 0 && d >= 0) this.index.push(a, b, c, a, c, d);
      }
    }
  }

  /** A line through `n` places. */
  run(n: number, at: (i: number) => Three): void {
    for (let i = 0; i < n; i += 1) {
      if (i > 0) this.index.push(this.count - 1, this.count);
      this.xyz.push(...at(i));
    }
  }
}

/** A point at a radius, an angle at the entry face and a depth, carried along the helix. */
export function place(tooth: Tooth, radius: number, angle: number, a: number): Three {
  const turned = angle + tooth.twist_deg_per_mm * RAD * a;
  return [radius * Math.cos(turned), radius * Math.sin(turned), a];
}

const DEPTHS = 17;
const ACROSS = 7;

/** Depths over the face width, close together at both ends, where cuts end. */
function depths(tooth: Tooth): number[] {
  return Array.from({ length: DEPTHS }, (_x, k) => {
    const x = k / (DEPTHS - 1);
    return tooth.face_width_mm * x * x * (3 - 2 * x);
  });
}

/** The surfaces of the tooth at +t, with the rim under it as deep as `rim`. */
export function toothSurface(tooth: Tooth, rim: number): Points {
  const out = new Points();
  const pitch = tooth.pitch_deg * RAD;
  const mid = pitch / 2;
  const radii = tooth.radius_mm;
  const half = tooth.half_angle_deg.map((x) => x * RAD);
  const last = radii.length - 1;
  const down = depths(tooth);
  const [root, tip] = [radii[0] as number, radii[last] as number];
  const back = root + (root < tip ? -rim : rim);
  const strip = (radius: number, from: number, to: number): void =>
    out.net(ACROSS, DEPTHS, (i, j) => place(tooth, radius, from + ((to - from) * i) / (ACROSS - 1), down[j] as number));
  for (const side of [1, -1]) {
    const flank = (i: number): number => mid + side * (half[i] as number);
    out.net(last + 1, DEPTHS, (i, j) => place(tooth, radii[i] as number, flank(i), down[j] as number));
    strip(root, flank(0), mid + side * mid);
  }
  strip(tip, mid - (half[last] as number), mid + (half[last] as number));
  for (const a of [0, tooth.face_width_mm]) {
    out.net(last + 1, ACROSS, (i, j) =>
      place(tooth, radii[i] as number, mid + (half[i] as number) * ((2 * j) / (ACROSS - 1) - 1), a),
    );
    out.net(5, ACROSS, (i, j) => place(tooth, back + ((root - back) * i) / 4, (pitch * j) / (ACROSS - 1), a));
  }
  return out;
}

/** The edges that a draughtsman would draw: the outline on both faces, the edges of the tip. */
export function toothEdges(tooth: Tooth): Points {
  const out = new Points();
  const pitch = tooth.pitch_deg * RAD;
  const mid = pitch / 2;
  const radii = tooth.radius_mm;
  const half = tooth.half_angle_deg.map((x) => x * RAD);
  const last = radii.length - 1;
  const down = depths(tooth);
  const [root, tip] = [radii[0] as number, radii[last] as number];
  const wide = half[last] as number;
  for (const a of [0, tooth.face_width_mm]) {
    for (const side of [1, -1]) {
      out.run(last + 1, (i) => place(tooth, radii[i] as number, mid + side * (half[i] as number), a));
      const foot = mid + side * (half[0] as number);
      out.run(ACROSS, (i) => place(tooth, root, foot + ((mid + side * mid - foot) * i) / (ACROSS - 1), a));
    }
    out.run(ACROSS, (i) => place(tooth, tip, mid + wide * ((2 * i) / (ACROSS - 1) - 1), a));
  }
  for (const side of [1, -1]) out.run(DEPTHS, (i) => place(tooth, tip, mid + side * wide, down[i] as number));
  return out;
}

/** How far a place lies inside the ring before any cut; below nought outside. Not a true distance, but its sign is. */
export function inside(tooth: Tooth, rim: number, r: number, t: number, a: number): number {
  const radii = tooth.radius_mm;
  const last = radii.length - 1;
  const [root, tip] = [radii[0] as number, radii[last] as number];
  const sense = tip > root ? 1 : -1;
  const radius = Math.hypot(r, t);
  const pitch = tooth.pitch_deg * RAD;
  const angle = Math.atan2(t, r) - tooth.twist_deg_per_mm * RAD * a;
  const off = Math.abs(angle - pitch * Math.floor(angle / pitch) - pitch / 2);
  const i = Math.min(last - 1, Math.floor(Math.sqrt(Math.max(0, (radius - root) / (tip - root))) * last));
  const [below, above] = [radii[i] as number, radii[i + 1] as number];
  const [one, two] = [tooth.half_angle_deg[i] as number, tooth.half_angle_deg[i + 1] as number];
  const half = mix(one, two, clamp((radius - below) / (above - below))) * RAD;
  const inTooth = Math.min((half - off) * radius, sense * (tip - radius));
  const inRing = Math.min(Math.max(sense * (root - radius), inTooth), sense * (radius - root) + rim);
  return Math.min(a, tooth.face_width_mm - a, inRing);
}

/** The sheet of heights, asked place by place. */
export class Sheet {
  private readonly heights: Float64Array;
  private readonly n: number;
  private readonly m: number;

  constructor(private readonly front: Front) {
    this.n = front.rows_mm.length;
    this.m = front.places.length;
    this.heights = new Float64Array(front.height_mm.flat().map((h) => h ?? NEVER));
  }

  /** When the cutter gets to a place (infeed), and how far inside the sheet it lies (below nought: never reached). */
  at(r: number, t: number, a: number, out: [number, number]): void {
    const { front: f, n, m } = this;
    const [x0, y0, z0] = [r - f.at[0], t - f.at[1], a - f.at[2]];
    const x = x0 * f.across[0] + y0 * f.across[1] + z0 * f.across[2];
    const y = x0 * f.along[0] + y0 * f.along[1] + z0 * f.along[2];
    const z = x0 * f.infeed[0] + y0 * f.infeed[1] + z0 * f.infeed[2];
    const [first, end] = [f.rows_mm[0] as number, f.rows_mm[n - 1] as number];
    const row = (Math.acos(1 - 2 * clamp((x - first) / (end - first))) / Math.PI) * (n - 1);
    const i = Math.min(n - 2, Math.floor(row));
    const down = row - i;
    const low = mix(f.low_mm[i] as number, f.low_mm[i + 1] as number, down);
    const high = mix(f.high_mm[i] as number, f.high_mm[i + 1] as number, down);
    const on = high > low ? clamp((y - low) / (high - low)) : 0;
    const column = (Math.acos(1 - 2 * on) / Math.PI) * (m - 1);
    const j = Math.min(m - 2, Math.floor(column));
    const k = i * m + j;
    const over = column - j;
    const [p, q, s, u] = [this.heights[k], this.heights[k + 1], this.heights[k + m], this.heights[k + m + 1]] as [
      number,
      number,
      number,
      number,
    ];
    out[0] = z + mix(mix(p, q, over), mix(s, u, over), down);
    out[1] = Math.max(p, q, s, u) >= NEVER ? -1 : Math.min(x - first, end - x, y - low, high - y);
  }
}

const clamp = (x: number): number => Math.min(1, Math.max(0, x));
const mix = (a: number, b: number, share: number): number => a + (b - a) * share;
const BACK = 9;

/** The sheet at touch-off as a net, with walls back along the infeed where it ends: what lies behind it is gone. */
export function cutFace(front: Front, wall: number): Points {
  const out = new Points();
  const [n, m] = [front.rows_mm.length, front.places.length];
  const at = (i: number, j: number, z = 0): Three | undefined => {
    const h = front.height_mm[i]?.[j];
    if (h === null || h === undefined) return undefined;
    const [low, high] = [front.low_mm[i] as number, front.high_mm[i] as number];
    return along(front, front.rows_mm[i] as number, mix(low, high, front.places[j] as number), z - h);
  };
  out.net(n, m, (i, j) => at(i, j));
  const back = (k: number): number => -wall * (k / (BACK - 1)) ** 2;
  for (const j of [0, m - 1]) out.net(n, BACK, (i, k) => at(i, j, back(k)));
  for (const i of [0, n - 1]) out.net(m, BACK, (j, k) => at(i, j, back(k)));
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
