// The cut in three dimensions: the tooth as arrays, the cutter in place, a slider along the infeed.
import {
  BufferGeometry,
  Color,
  DoubleSide,
  Float32BufferAttribute,
  GLSL3,
  LatheGeometry,
  LineSegments,
  Matrix4,
  Mesh,
  PerspectiveCamera,
  Scene,
  ShaderMaterial,
  Vector2,
  Vector3,
  Vector4,
  WebGLRenderer,
} from "three";
import { OrbitControls } from "three/addons/controls/OrbitControls.js";
import { CUTTER_FRAGMENT, CUTTER_VERTEX, FRAGMENT, VERTEX } from "./shaders";
import { cutFace, inside, Points, type Shape, Sheet, type Three, toothEdges, toothSurface } from "./shape";

const RAD = Math.PI / 180;
/** Spaces whose cuts the tooth at +t is asked about: the worked one is 0, the next clockwise 1. */
const ROUND = [-1, 0, 1, 2];
/** Dots to a pixel of the page while a picture moves that no graphics card draws; how long it rests till it is sharp. */
const COARSE = 0.6;
const REST_MS = 250;
const TEETH = [-2, -1, 0, 1];
const SPACES = [-1, 0, 1];

/** A point of the frame as the view has it: t to the right, r up, the entry face towards the eye. */
const seenAt = (p: Three, centre: Three): Vector3 =>
  new Vector3(p[1] - centre[1], p[0] - centre[0], -(p[2] - centre[2]));

/** A net as three wants it, its attributes still to be filled. */
function geometry(points: Points): BufferGeometry {
  const made = new BufferGeometry();
  made.setAttribute("position", new Float32BufferAttribute(points.xyz, 3));
  made.setAttribute("aWhen", new Float32BufferAttribute(new Float32Array(4 * points.count), 4));
  made.setAttribute("aDeep", new Float32BufferAttribute(new Float32Array(4 * points.count), 4));
  made.setAttribute("aIn", new Float32BufferAttribute(new Float32Array(points.count), 1));
  made.setIndex(points.index);
  return made;
}

/** Asks the sheet, turned to each of the spaces, when the cutter gets to every point of the net. */
function ask(sheet: Sheet, of: BufferGeometry, pitch: number, spaces: readonly (number | undefined)[]): void {
  const [xyz, when, deep] = [of.getAttribute("position"), of.getAttribute("aWhen"), of.getAttribute("aDeep")];
  const got: [number, number] = [0, 0];
  const turns = spaces.map((k) => (k === undefined ? undefined : [Math.cos(k * pitch), Math.sin(k * pitch)] as const));
  for (let i = 0; i < xyz.count; i += 1) {
    const [r, t, a] = [xyz.getX(i), xyz.getY(i), xyz.getZ(i)];
    for (let k = 0; k < 4; k += 1) {
      const turn = turns[k];
      if (turn) sheet.at(turn[0] * r + turn[1] * t, turn[0] * t - turn[1] * r, a, got);
      when.setComponent(i, k, turn ? got[0] : 0);
      deep.setComponent(i, k, turn ? got[1] : -1);
    }
  }
  when.needsUpdate = deep.needsUpdate = true;
}

class View {
  private readonly scene = new Scene();
  private readonly camera = new PerspectiveCamera(28, 1, 1, 4000);
  private readonly controls: OrbitControls;
  private readonly centre: Three;
  private readonly size: number;
  private readonly rim: number;
  private readonly shared;
  private readonly wash = { value: new Color() };
  private readonly sheet: Sheet;
  private readonly face: BufferGeometry;
  private readonly faceAtStart: Float32Array;
  private readonly faces: { mesh: Mesh; space: number }[] = [];
  private readonly teeth: { material: ShaderMaterial; tooth: number }[] = [];
  private readonly cutter: Mesh;
  private waiting = true; // until the first picture
  private drawnAt = "";
  private sharper = 0;

  constructor(
    private readonly canvas: HTMLCanvasElement,
    private readonly renderer: WebGLRenderer,
    private readonly shape: Shape,
    private readonly slow: boolean,
  ) {
    const { tooth, front } = shape;
    const tip = tooth.radius_mm[tooth.radius_mm.length - 1] as number;
    const root = tooth.radius_mm[0] as number;
    const pitch = tooth.pitch_deg * RAD;
    this.rim = Math.abs(tip - root);
    this.size = Math.max(3 * this.rim, tip * pitch * 1.6);
    this.centre = [(tip + root) / 2, 0, Math.min(tooth.face_width_mm / 2, this.rim)];
    this.shared = {
      uGone: { value: 0 },
      uFaint: { value: 0 },
      uPaper: { value: new Color() },
      uInk: { value: new Color() },
      uCentre: { value: new Vector3(...this.centre) },
    };
    this.sheet = new Sheet(front);
    const [surface, lines] = [geometry(toothSurface(tooth, this.rim)), geometry(toothEdges(tooth))];
    for (const of of [surface, lines]) ask(this.sheet, of, pitch, ROUND);
    for (const j of TEETH) {
      const [metal, ink] = [this.material(j * pitch, 0, 0), this.material(j * pitch, 0, 1)];
      this.add(new Mesh(surface, metal), new LineSegments(lines, ink));
      this.teeth.push({ material: metal, tooth: j }, { material: ink, tooth: j });
    }
    this.face = geometry(cutFace(front, 2 * this.size));
    this.faceAtStart = Float32Array.from(this.face.getAttribute("position").array);
    for (const space of SPACES) {
      const mesh = new Mesh(this.face, this.material(space * pitch, 1, 0));
      this.faces.push({ mesh, space });
      this.add(mesh);
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

  private add(...drawn: (Mesh | LineSegments)[]): void {
    for (const one of drawn) one.frustumCulled = false; // turned in the shader, where three cannot see it
    this.scene.add(...drawn);
  }

  private material(turn: number, own: number, line: number): ShaderMaterial {
    return new ShaderMaterial({
      glslVersion: GLSL3,
      vertexShader: VERTEX,
      fragmentShader: FRAGMENT,
      side: DoubleSide,
      uniforms: {
        ...this.shared,
        uTurn: { value: turn },
        uOwn: { value: own },
        uLine: { value: line },
        uOn: { value: new Vector4(1, 1, 1, 1) },
      },
    });
  }

  private lathe(): Mesh {
    const profile = this.shape.cutter_profile_mm.map(([r, h]) => new Vector2(r, h));
    const made = new Mesh(
      new LatheGeometry(profile, 48),
      new ShaderMaterial({
        glslVersion: GLSL3,
        vertexShader: CUTTER_VERTEX,
        fragmentShader: CUTTER_FRAGMENT,
        uniforms: { uWash: this.wash },
        transparent: true,
        depthWrite: false,
        side: DoubleSide,
      }),
    );
    const u = this.shape.tool_axis;
    const up = new Vector3(u[1], u[0], -u[2]).normalize();
    const side = new Vector3(...(Math.abs(up.x) < 0.9 ? [1, 0, 0] : [0, 1, 0])).cross(up).normalize();
    made.setRotationFromMatrix(new Matrix4().makeBasis(side, up, side.clone().cross(up)));
    return made;
  }

  /** The infeed that is shown [mm]: the cut face moves on, and is asked anew where it lies inside the ring. */
  feed(infeed: number): void {
    this.shared.uGone.value = infeed;
    const d = this.shape.front.infeed;
    const xyz = this.face.getAttribute("position");
    const into = this.face.getAttribute("aIn");
    for (let i = 0; i < xyz.count; i += 1) {
      const [r, t, a] = [0, 1, 2].map((k) => (this.faceAtStart[3 * i + k] as number) + (d[k] as number) * infeed) as [
        number,
        number,
        number,
      ];
      xyz.setXYZ(i, r, t, a);
      into.setX(i, inside(this.shape.tooth, this.rim, r, t, a));
    }
    ask(this.sheet, this.face, this.shape.tooth.pitch_deg * RAD, [-1, 1, undefined, undefined]);
    xyz.needsUpdate = into.needsUpdate = true;
    const at = this.shape.tip_at_touch_off;
    this.cutter.position.copy(
      seenAt([at[0] + d[0] * infeed, at[1] + d[1] * infeed, at[2] + d[2] * infeed], this.centre),
    );
    this.soon();
  }

  show(what: { cutter: boolean; every: boolean; before: boolean }): void {
    this.cutter.visible = what.cutter;
    this.shared.uFaint.value = what.before ? 1 : 0;
    for (const { mesh, space } of this.faces) {
      mesh.visible = what.every || space === 0;
      ((mesh.material as ShaderMaterial).uniforms["uOn"] as { value: Vector4 }).value.setScalar(what.every ? 1 : 0);
    }
    for (const { material, tooth } of this.teeth) {
      const shown = (space: number): boolean => (what.every ? SPACES.includes(space) : space === 0);
      const on = ROUND.map((k) => (shown(k + tooth) ? 1 : 0)) as [number, number, number, number];
      (material.uniforms["uOn"] as { value: Vector4 }).value.set(...on);
    }
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
    this.wash.value.copy(read("--blue"));
    this.soon();
  }

  private soon(): void {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => this.draw());
  }

  /** Draw again if the canvas has another size than the last picture. */
  fit(): void {
    if (this.drawnAt && this.drawnAt !== `${this.canvas.clientWidth} ${this.canvas.clientHeight}`) this.draw();
  }

  /** Without a graphics card a coarse picture comes first and whenever it moves, a sharp one as soon as it rests. */
  draw(sharp = !this.slow): void {
    const { clientWidth: wide, clientHeight: tall } = this.canvas;
    this.waiting = false;
    this.drawnAt = `${wide} ${tall}`;
    this.renderer.setPixelRatio(sharp ? Math.min(2, window.devicePixelRatio) : COARSE);
    this.renderer.setSize(wide, tall, false);
    this.camera.aspect = wide / Math.max(1, tall);
    this.camera.updateProjectionMatrix();
    this.renderer.render(this.scene, this.camera);
    clearTimeout(this.sharper);
    if (!sharp) this.sharper = window.setTimeout(() => this.draw(true), REST_MS);
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
  const [context, slow] = surface(canvas);
  if (!context) {
    root.querySelector<HTMLElement>(".seensheet")?.setAttribute("hidden", "");
    root.querySelector<HTMLElement>("[data-without]")?.removeAttribute("hidden");
    return;
  }
  const renderer = new WebGLRenderer({ canvas, context, alpha: true });
  renderer.sortObjects = false; // the cutter, which is seen through, comes last as it is
  renderer.debug.checkShaderErrors = false; // asking waits for the compiler; a fault would still leave the sections
    const view = new View(canvas, renderer, JSON.parse(data) as Shape, slow);
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
  new ResizeObserver(() => view.fit()).observe(canvas);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => view.colours());
  form.hidden = false;
  view.colours();
  feed();
  show();
  view.draw();
  whenDrawn(context, () => {
    canvas.dataset["drawn"] = "yes";
    performance.mark("cut-drawn");
  });
}

/** A drawing surface, and whether it has to do without a graphics card: smooth edges would then cost most of the time. */
function surface(canvas: HTMLCanvasElement): [WebGL2RenderingContext | null, boolean] {
  const smooth = canvas.getContext("webgl2", { antialias: true, alpha: true, failIfMajorPerformanceCaveat: true });
  return smooth ? [smooth, false] : [canvas.getContext("webgl2", { antialias: false, alpha: true }), true];
}

/** Calls back once everything asked of the drawing surface so far is on it. */
function whenDrawn(context: WebGL2RenderingContext, then: () => void): void {
  const fence = context.fenceSync(context.SYNC_GPU_COMMANDS_COMPLETE, 0);
  context.flush();
  const look = (): void => {
    const done = !fence || context.getSyncParameter(fence, context.SYNC_STATUS) === context.SIGNALED;
    if (done || context.isContextLost()) then();
    else requestAnimationFrame(look);
  };
  look();
}

for (const root of document.querySelectorAll<HTMLElement>("[data-seen]")) startSeen(root);
