// The fold in the browser: the same table as the Python one (transitions.json), held to it by tests/fold_vectors.json.

import transitions from "../../../src/ringwright/job/transitions.json";

export interface Event {
  v: number;
  event_id: string;
  job_id: string;
  round_id: string;
  sheet_digest: string;
  station: string;
  station_seq: number;
  at: string;
  kind: string;
  tooth: number | null;
  data: Record<string, unknown>;
}

export interface Logged {
  seq: number;
  event: Event;
}

export interface Row {
  tooth: number;
  lap: number;
  move_words: string;
  position: { turns: number | null; hole: number | null; dial: string | null; spindle_deg: number };
  infeed_words: string;
  infeed_mm: number | null;
  passes: number;
  zone: string;
  speed_words: string;
}

export interface Sheet {
  rows: Row[];
  witness: { kind: "spindle_deg" | "painted"; every: number; within_deg: number };
  rechecks: string[];
  least_seconds: number;
  closing: { divisions: number; hole: number | null; spindle_deg: number };
}

export interface Mark {
  tooth: number;
  mark: string;
  seq: number;
  event_id: string;
  station: string;
  paper: boolean;
}

export interface Slip {
  seq: number;
  at_tooth: number;
  stands_at: number | null;
  teeth: number[];
  settled: boolean;
}

export interface State {
  phase: string;
  seq: number;
  started: boolean;
  scribed: number;
  dry_run_closed: boolean;
  released: boolean;
  at_tooth: number;
  next_tooth: number | null;
  left: number;
  left_teeth: number[];
  marks: Mark[];
  since_witness: number[];
  awaiting_witness: boolean;
  slips: Slip[];
  contested: number[];
  other_plan: number[];
  too_soon: number;
  pause_reason: string | null;
  closed: boolean;
  set_aside: { seq: number; kind: string; tooth: number | null; why: string }[];
}

interface Rule {
  when: string[];
  do: string[];
  to: string;
}

const TABLE = transitions.table as unknown as Record<string, Record<string, Rule[]>>;

interface Pressed {
  seq: number;
  event: Event;
  mark: string;
  paper: boolean;
}

const isNumber = (value: unknown): value is number => typeof value === "number" && Number.isFinite(value);
const whole = (value: unknown): number => (isNumber(value) && Number.isInteger(value) ? value : -1);
const texts = (value: unknown): string[] => (Array.isArray(value) ? value.filter((one) => typeof one === "string") : []);
const sameHole = (given: unknown, wanted: number | null): boolean =>
  given === null || given === undefined || wanted === null || whole(given) === wanted;

function knew(one: Pressed, other: Pressed): boolean {
  const seen = one.event.data["seen_seq"];
  return other.event.station === one.event.station || (isNumber(seen) && other.seq <= seen);
}

class Folding {
  readonly order: number[];
  readonly place = new Map<number, number>();
  phase: string = transitions.start;
  seq = 0;
  started = false;
  dryRunClosed = false;
  wasReleased = false;
  awaiting = false;
  isClosed = false;
  isFinished = false;
  scribed = new Set<number>();
  at: number;
  marks = new Map<number, Pressed[]>();
  teethOf = new Map<string, number[]>();
  open: Set<number>;
  gone = new Set<string>();
  since: number[] = [];
  slips: Slip[] = [];
  aside: State["set_aside"] = [];
  tooSoon = 0;
  pauseReason: string | null = null;
  event!: Event;

  constructor(
    readonly sheet: Sheet,
    readonly digest: string,
  ) {
    this.order = sheet.rows.map((row) => row.tooth);
    this.order.forEach((tooth, i) => this.place.set(tooth, i));
    this.at = this.order[0]!;
    this.open = new Set(this.order);
  }

  take(seq: number, event: Event): void {
    this.seq = seq;
    this.event = event;
    let why = "not_now";
    for (const rule of TABLE[this.phase]?.[event.kind] ?? TABLE["*"]?.[event.kind] ?? []) {
      const failing = rule.when.find((guard) => !this.guard(guard));
      if (failing === undefined) {
        for (const action of rule.do) this.act(action);
        this.go(rule.to);
        return;
      }
      why = failing;
    }
    this.aside.push({ seq, kind: event.kind, tooth: event.tooth, why });
  }

  private go(to: string): void {
    if (this.open.size > 0) this.isClosed = this.isFinished = false;
    if (to === "settle") to = transitions.settle.find((step) => this.settles(step.if))!.phase;
    if (to !== "same") this.phase = to;
  }

  private settles(question: string): boolean {
    switch (question) {
      case "awaiting_witness": return this.awaiting;
      case "dry_run_open": return !this.dryRunClosed;
      case "not_released": return !this.wasReleased;
      case "teeth_left": return this.open.size > 0;
      case "finished": return this.isFinished;
      case "always": return true;
      default: throw new Error(`unknown question ${question}`);
    }
  }

  private counting(tooth: number): Pressed[] {
    return (this.marks.get(tooth) ?? []).filter((pressed) => !this.gone.has(pressed.event.event_id));
  }

  private markOf(tooth: number): Pressed | undefined {
    return this.counting(tooth).at(-1);
  }

  private contested(tooth: number): boolean {
    const standing = this.counting(tooth);
    return standing.some((later, j) =>
      standing.slice(0, j).some(
        (earlier) =>
          earlier.mark !== later.mark &&
          !knew(later, earlier) &&
          !standing.slice(j + 1).some((r) => knew(r, earlier) && knew(r, later)),
      ),
    );
  }

  private leftTeeth(): number[] {
    return this.order.filter((tooth) => this.open.has(tooth));
  }

  private lookAgain(tooth: number): void {
    const mark = this.markOf(tooth);
    if (mark !== undefined && mark.mark !== "trouble" && !this.contested(tooth)) this.open.delete(tooth);
    else this.open.add(tooth);
  }

  private nextTooth(): number | null {
    if (!this.dryRunClosed) {
      return [...this.order].sort((a, b) => a - b).find((tooth) => !this.scribed.has(tooth)) ?? null;
    }
    if (!this.wasReleased) return this.order[0]!;
    const here = this.place.get(this.at)!;
    const onward = [...this.order.slice(here), ...this.order.slice(0, here)];
    return onward.find((tooth) => this.markOf(tooth) === undefined) ?? this.leftTeeth()[0] ?? null;
  }

  private turnedTo(degrees: unknown, wanted: number): boolean {
    if (!isNumber(degrees)) return false;
    const round = (((degrees - wanted + 540) % 360) + 360) % 360;
    return Math.abs(round - 180) <= this.sheet.witness.within_deg;
  }

  private degreesOf(tooth: number): number {
    return this.sheet.rows[this.place.get(tooth)!]!.position.spindle_deg;
  }

  private readingAgrees(degrees: string, tooth: number): boolean {
    const data = this.event.data;
    if (this.sheet.witness.kind === "painted") return whole(data["painted"]) === tooth;
    return this.turnedTo(data[degrees], this.degreesOf(tooth));
  }

  private run(): number[] {
    const first = this.place.get(whole(this.event.data["from"])) ?? -1;
    const last = this.place.get(whole(this.event.data["to"])) ?? -1;
    return first >= 0 && first <= last ? this.order.slice(first, last + 1) : [];
  }

  private returns(): boolean {
    const { data } = this.event;
    const degrees = data["spindle_deg"];
    return (
      data["falls_in_first"] === true &&
      sameHole(data["hole"], this.sheet.closing.hole) &&
      (degrees === null || degrees === undefined || this.turnedTo(degrees, this.sheet.closing.spindle_deg))
    );
  }

  private guard(name: string): boolean {
    const { event } = this;
    switch (name) {
      case "known_tooth": return event.tooth !== null && this.place.has(event.tooth);
      case "is_first": return event.tooth === this.order[0];
      case "released": return this.wasReleased;
      case "closes": return event.data["closes"] === true;
      case "first_done": return this.markOf(this.order[0]!)?.mark === "done";
      case "within": return event.data["within"] === true;
      case "good_run": return this.run().length > 0;
      case "readable": return isNumber(event.data[this.sheet.witness.kind]);
      case "agrees": return this.readingAgrees("spindle_deg", this.at);
      case "checked": return this.sheet.rechecks.every((code) => texts(event.data["checked"]).includes(code));
      case "returns": return this.returns();
      case "closed": return this.isClosed;
      case "none_contested": return !this.order.some((tooth) => this.contested(tooth));
      default: throw new Error(`unknown guard ${name}`);
    }
  }

  private press(tooth: number, mark: string, paper = false): void {
    const { event } = this;
    this.marks.set(tooth, [...(this.marks.get(tooth) ?? []), { seq: this.seq, event, mark, paper }]);
    this.teethOf.set(event.event_id, [...(this.teethOf.get(event.event_id) ?? []), tooth]);
    this.lookAgain(tooth);
    if (this.gone.has(event.event_id)) return;
    this.at = tooth;
    if (!this.since.includes(tooth)) this.since.push(tooth);
    if (this.since.length >= this.sheet.witness.every) this.awaiting = true;
  }

  private undo(): void {
    const { event } = this;
    const tooth = event.tooth!;
    let named = event.data["undoes"];
    if (typeof named !== "string") {
      const me: Pressed = { seq: this.seq, event, mark: "done", paper: false };
      named = this.counting(tooth).filter((pressed) => knew(me, pressed)).at(-1)?.event.event_id ?? "";
    }
    this.gone.add(named as string);
    for (const changed of this.teethOf.get(named as string) ?? []) this.lookAgain(changed);
    this.since = this.since.filter((one) => this.markOf(one) !== undefined);
    const stood = whole(event.data["stood_at"]);
    this.at = this.place.has(stood) ? stood : tooth;
  }

  private paper(): void {
    const run = this.run();
    const { data } = this.event;
    for (const tooth of run) this.press(tooth, "done", true);
    const last = run.at(-1)!;
    const wanted = this.sheet.rows[this.place.get(last)!]!.position.hole;
    if (!isNumber(data[this.sheet.witness.kind === "painted" ? "painted" : "degrees"])) this.awaiting = true;
    else if (this.readingAgrees("degrees", last) && sameHole(data["last_hole"], wanted)) this.goodWitness();
    else this.slip();
  }

  private goodWitness(): void {
    this.since = [];
    this.awaiting = false;
    this.slips = this.slips.map((slip) => ({ ...slip, settled: true }));
  }

  private slip(): void {
    const { data } = this.event;
    this.awaiting = true;
    const degrees = "spindle_deg" in data ? data["spindle_deg"] : data["degrees"];
    const painted = whole(data["painted"]);
    let stands: number | null;
    if (this.sheet.witness.kind === "painted") stands = this.place.has(painted) ? painted : null;
    else stands = this.order.find((tooth) => this.turnedTo(degrees, this.degreesOf(tooth))) ?? null;
    this.slips.push({ seq: this.seq, at_tooth: this.at, stands_at: stands, teeth: [...this.since], settled: false });
  }

  private act(name: string): void {
    const { event } = this;
    switch (name) {
      case "start": this.started = true; break;
      case "scribe": this.scribed.add(event.tooth!); this.at = event.tooth!; break;
      case "close_dry_run": this.dryRunClosed = true; this.at = this.order[0]!; break;
      case "dry_run_again": this.scribed = new Set(); this.at = this.order[0]!; break;
      case "mark": this.press(event.tooth!, event.kind); break;
      case "undo": this.undo(); break;
      case "measured": case "pass": break;
      case "release": this.wasReleased = true; break;
      case "paper": this.paper(); break;
      case "good_witness": this.goodWitness(); break;
      case "slip": case "close_failed": this.slip(); break;
      case "pause": this.pauseReason = typeof event.data["reason"] === "string" ? event.data["reason"] : ""; break;
      case "resume": this.pauseReason = null; this.awaiting = true; break;
      case "close": this.goodWitness(); this.isClosed = true; this.at = this.order[0]!; break;
      case "finish": this.isFinished = true; break;
      case "count_too_soon": this.tooSoon += 1; break;
      default: throw new Error(`unknown action ${name}`);
    }
  }

  state(): State {
    const marks: Mark[] = [];
    const other: number[] = [];
    for (const tooth of this.order) {
      const mark = this.markOf(tooth);
      if (mark === undefined) continue;
      const { event } = mark;
      marks.push({ tooth, mark: mark.mark, seq: mark.seq, event_id: event.event_id, station: event.station, paper: mark.paper });
      if (event.sheet_digest !== this.digest) other.push(tooth);
    }
    const left = this.leftTeeth();
    return {
      phase: this.phase,
      seq: this.seq,
      started: this.started,
      scribed: this.scribed.size,
      dry_run_closed: this.dryRunClosed,
      released: this.wasReleased,
      at_tooth: this.at,
      next_tooth: this.nextTooth(),
      left: left.length,
      left_teeth: left,
      marks,
      since_witness: [...this.since],
      awaiting_witness: this.awaiting,
      slips: this.slips,
      contested: this.order.filter((tooth) => this.contested(tooth)),
      other_plan: other,
      too_soon: this.tooSoon,
      pause_reason: this.pauseReason,
      closed: this.isClosed,
      set_aside: this.aside,
    };
  }
}

/** The state of a round after its log, taken in the order of `seq`. */
export function fold(sheet: Sheet, digest: string, log: readonly Logged[]): State {
  const folding = new Folding(sheet, digest);
  for (const one of [...log].sort((a, b) => a.seq - b.seq)) folding.take(one.seq, one.event);
  return folding.state();
}
