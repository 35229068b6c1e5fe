// The cut in three dimensions: the tooth as arrays, the cutter in place, a slider along the infeed.
import {
  BufferGeometry,
  Color,
  DataTexture,
  DoubleSide,
  Float32BufferAttribute,
  FloatType,
  GLSL3,
  LatheGeometry,
  LineSegments,
  Matrix4,
  Mesh,
  MeshBasicMaterial,
  NearestFilter,
  PerspectiveCamera,
  RedFormat,
  RGBAFormat,
  Scene,
  ShaderMaterial,
  Vector2,
  Vector3,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/addons/controls/OrbitControls.js";
import { FRAGMENT, VERTEX } from "./shaders";
import { edges, NEVER, Points, type Shape, sheet, teeth, type Three } from "./shape";

const RAD = Math.PI / 180;
const SPACES = [0, -1, 1, -2, 2];

/** A point of the frame as the view has it: t to the right, r up, the entry face towards the eye. */
const seenAt = (p: Three, centre: Three): Vector3 =>
  new Vector3(p[1] - centre[1], p[0] - centre[0], -(p[2] - centre[2]));

function table(values: Float32Array, wide: number, tall: number, four = false): DataTexture {
  const made = new DataTexture(values, wide, tall, four ? RGBAFormat : RedFormat, FloatType);
  made.minFilter = made.magFilter = NearestFilter;
  made.needsUpdate = true;
  return made;
}

function geometry(points: Points): BufferGeometry {
  const made = new BufferGeometry();
  made.setAttribute("position", new Float32BufferAttribute(points.xyz, 3));
  return made;
}

class View {
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(28, 1, 1, 4000);
  private readonly controls: OrbitControls;
  private readonly centre: Three;
  private readonly size: number;
  private readonly shared;
  private readonly cutFaces: { mesh: Mesh; material: ShaderMaterial; space: number }[] = [];
  private readonly cutter: Mesh;
  private waiting = false;

  constructor(
    private readonly canvas: HTMLCanvasElement,
    private readonly renderer: WebGLRenderer,
    private readonly shape: Shape,
  ) {
    const { tooth, front } = shape;
    const tip = tooth.radius_mm[tooth.radius_mm.length - 1] as number;
    const root = tooth.radius_mm[0] as number;
    const deep = Math.abs(tip - root);
    this.size = Math.max(3 * deep, tip * tooth.pitch_deg * RAD * 1.6);
    this.centre = [(tip + root) / 2, 0, Math.min(tooth.face_width_mm / 2, deep)];
    this.shared = this.uniforms(deep);
    const surface = this.material({});
    const far = Math.min(2, Math.floor(180 / tooth.pitch_deg));
    this.scene.add(this.mesh(geometry(teeth(tooth, -far, far - 1, deep)), surface));
    this.scene.add(this.lines(edges(tooth, -far, far - 1)));
    const made = geometry(sheet(front, 3 * this.size));
    for (const space of SPACES) {
      const turn = space * tooth.pitch_deg * RAD;
      const material = this.material({ uOwn: { value: 1 }, uTurn: { value: turn }, uTurnOf: { value: turn } });
      const mesh = this.mesh(made, material);
      this.cutFaces.push({ mesh, material, space });
      this.scene.add(mesh);
    }
    this.cutter = this.lathe();
    this.scene.add(this.cutter);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enablePan = false;
    this.controls.minDistance = 0.5 * this.size;
    this.controls.maxDistance = 6 * this.size;
    this.controls.addEventListener("change", () => this.soon());
    this.look("corner");
  }

  private uniforms(deep: number) {
    const { tooth, front } = this.shape;
    const [n, m] = [front.rows_mm.length, front.places.length];
    const heights = new Float32Array(front.height_mm.flat().map((h) => h ?? NEVER));
    const rows = new Float32Array(
      front.rows_mm.flatMap((x, i) => [x, front.low_mm[i] as number, front.high_mm[i] as number, 0]),
    );
    const half = new Float32Array(tooth.half_angle_deg.map((x) => x * RAD));
    const v = (p: Three): { value: Vector3 } => ({ value: new Vector3(...p) });
    return {
      uHeights: { value: table(heights, m, n) },
      uRows: { value: table(rows, n, 1, true) },
      uHalf: { value: table(half, half.length, 1) },
      uAt: v(front.at),
      uAcross: v(front.across),
      uAlong: v(front.along),
      uInfeed: v(front.infeed),
      uSpan: { value: new Vector2(front.rows_mm[0], front.rows_mm[n - 1]) },
      uGone: { value: this.shape.infeed_mm },
      uPitch: { value: tooth.pitch_deg * RAD },
      uTwist: { value: tooth.twist_deg_per_mm * RAD },
      uFace: { value: tooth.face_width_mm },
      uRoot: { value: tooth.radius_mm[0] as number },
      uTip: { value: tooth.radius_mm[tooth.radius_mm.length - 1] as number },
      uRim: { value: deep },
      uEvery: { value: 1 },
      uFaint: { value: 0 },
      uPaper: { value: new Color() },
      uInk: { value: new Color() },
      uCentre: v(this.centre),
    };
  }

  private material(own: Record<string, { value: unknown }>): ShaderMaterial {
    const zero = { uMove: { value: new Vector3() }, uTurn: { value: 0 }, uOwn: { value: 0 } };
    return new ShaderMaterial({
      glslVersion: GLSL3,
      vertexShader: VERTEX,
      fragmentShader: FRAGMENT,
      side: DoubleSide,
      uniforms: { ...this.shared, ...zero, uTurnOf: { value: 0 }, uLine: { value: 0 }, ...own },
    });
  }

  private mesh(points: BufferGeometry, material: ShaderMaterial): Mesh {
    const made = new Mesh(points, material);
    made.frustumCulled = false;
    return made;
  }

  private lines(points: Points): LineSegments {
    const made = new LineSegments(geometry(points), this.material({ uLine: { value: 1 } }));
    made.frustumCulled = false;
    return made;
  }

  private lathe(): Mesh {
    const profile = this.shape.cutter_profile_mm.map(([r, h]) => new Vector2(r, h));
    const made = new Mesh(
      new LatheGeometry(profile, 48),
      new MeshBasicMaterial({ transparent: true, opacity: 0.26, depthWrite: false, side: DoubleSide }),
    );
    const u = this.shape.tool_axis;
    const up = new Vector3(u[1], u[0], -u[2]).normalize();
    const side = new Vector3(...(Math.abs(up.x) < 0.9 ? [1, 0, 0] : [0, 1, 0])).cross(up).normalize();
    made.setRotationFromMatrix(new Matrix4().makeBasis(side, up, side.clone().cross(up)));
    return made;
  }

  /** The infeed that is shown [mm]. */
  feed(infeed: number): void {
    this.shared.uGone.value = infeed;
    const d = this.shape.front.infeed;
    for (const { material } of this.cutFaces) {
      (material.uniforms["uMove"] as { value: Vector3 }).value.set(d[0] * infeed, d[1] * infeed, d[2] * infeed);
    }
    const at = this.shape.tip_at_touch_off;
    this.cutter.position.copy(
      seenAt([at[0] + d[0] * infeed, at[1] + d[1] * infeed, at[2] + d[2] * infeed], this.centre),
    );
    this.soon();
  }

  show(what: { cutter: boolean; every: boolean; before: boolean }): void {
    this.cutter.visible = what.cutter;
    this.shared.uEvery.value = what.every ? 1 : 0;
    this.shared.uFaint.value = what.before ? 1 : 0;
    for (const { mesh, space } of this.cutFaces) mesh.visible = what.every || space === 0;
    this.soon();
  }

  /** Look from one of the places that have a name. */
  look(from: string): void {
    const u = this.shape.tool_axis;
    const ways: Record<string, Vector3> = {
      face: new Vector3(0, 0, 1),
      top: new Vector3(0, 1, 0.02),
      cutter: new Vector3(u[1], u[0], -u[2] + 0.001),
      corner: new Vector3(-0.75, 0.7, 1),
    };
    const way = (ways[from] ?? new Vector3(0, 0, 1)).normalize();
    this.controls?.target.set(0, 0, 0);
    this.camera.position.copy(way.multiplyScalar(2.1 * this.size));
    this.camera.lookAt(0, 0, 0);
    this.controls?.update();
    this.soon();
  }

  /** Turn by keys, in degrees round and up. */
  turn(round: number, up: number): void {
    const p = this.camera.position;
    const r = p.length();
    const polar = Math.min(Math.PI - 0.02, Math.max(0.02, Math.acos(p.y / r) - up * RAD));
    const round_ = Math.atan2(p.x, p.z) + round * RAD;
    p.set(r * Math.sin(polar) * Math.sin(round_), r * Math.cos(polar), r * Math.sin(polar) * Math.cos(round_));
    this.controls.update();
    this.soon();
  }

  colours(): void {
    const style = getComputedStyle(this.canvas);
    const read = (name: string): Color => new Color().setStyle(style.getPropertyValue(name).trim(), "");
    this.shared.uPaper.value.copy(read("--paper"));
    this.shared.uInk.value.copy(read("--ink"));
    (this.cutter.material as MeshBasicMaterial).color.copy(read("--blue"));
    this.soon();
  }

  private soon(): void {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.draw();
    });
  }

  draw(): void {
    const { clientWidth: wide, clientHeight: tall } = this.canvas;
    this.renderer.setPixelRatio(Math.min(2, window.devicePixelRatio));
    this.renderer.setSize(wide, tall, false);
    this.camera.aspect = wide / Math.max(1, tall);
    this.camera.updateProjectionMatrix();
    this.renderer.render(this.scene, this.camera);
  }
}

function words(infeed: number, unit: string): string {
  return unit === "in" ? `${(infeed / 25.4).toFixed(4)} in` : `${infeed.toFixed(2)} mm`;
}

const KEYS: Record<string, [number, number]> = {
  ArrowLeft: [-8, 0],
  ArrowRight: [8, 0],
  ArrowUp: [0, 8],
  ArrowDown: [0, -8],
};

export function startSeen(root: HTMLElement): void {
  const canvas = root.querySelector("canvas");
  const data = root.querySelector("[data-shape]")?.textContent;
  const form = root.querySelector<HTMLFormElement>("form");
  const slider = root.querySelector<HTMLInputElement>("#infeed");
  if (!canvas || !data || !form || !slider) return;
  const context = canvas.getContext("webgl2", { antialias: true, alpha: true });
  if (!context) {
    root.querySelector<HTMLElement>(".seensheet")?.setAttribute("hidden", "");
    root.querySelector<HTMLElement>("[data-without]")?.removeAttribute("hidden");
    return;
  }
  const renderer = new WebGLRenderer({ canvas, context, antialias: true, alpha: true });
  renderer.debug.checkShaderErrors = false; // asking waits for the compiler; a fault would still leave the sections
    const view = new View(canvas, renderer, JSON.parse(data) as Shape);
  const tick = (name: string): boolean => form.querySelector<HTMLInputElement>(`[name="${name}"]`)?.checked ?? false;
  const said = form.querySelector("output");
  const feed = (): void => {
    if (said) said.textContent = words(Number(slider.value), root.dataset["unit"] ?? "mm");
    view.feed(Number(slider.value));
  };
  const show = (): void => view.show({ cutter: tick("cutter"), every: tick("every"), before: tick("before") });
  slider.addEventListener("input", feed);
  form.addEventListener("change", show);
  form.addEventListener("submit", (event) => event.preventDefault());
  for (const from of form.querySelectorAll<HTMLElement>("[data-from]")) {
    from.addEventListener("click", () => view.look(from.dataset["from"] ?? ""));
  }
  canvas.addEventListener("keydown", (event) => {
    const by = KEYS[event.key];
    if (!by) return;
    event.preventDefault();
    view.turn(...by);
  });
  new ResizeObserver(() => view.draw()).observe(canvas);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => view.colours());
  form.hidden = false;
  view.colours();
  feed();
  show();
  view.draw();
  context.readPixels(0, 0, 1, 1, context.RGBA, context.UNSIGNED_BYTE, new Uint8Array(4)); // waits for the picture
  canvas.dataset["drawn"] = "yes";
  performance.mark("cut-drawn");
}

for (const root of document.querySelectorAll<HTMLElement>("[data-seen]")) startSeen(root);
