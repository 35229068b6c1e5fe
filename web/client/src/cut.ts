// The round at the machine: shows the sheet, folds the marks, keeps every touch before it says so. No gear sums here.

import { fold, type Event, type Logged, type Sheet, type State } from "./fold";
import { acknowledged, keep, random, unsent } from "./keep";
import { onTo } from "./onto";
import { _ } from "./words";

interface Round {
  sheet: Sheet & {
    title: string;
    teeth_on_ring: number;
    tolerances: { lead_mm: number; end_land_mm: number };
    first_wanted: { lead_mm: number; end_land_mm: number } | null;
  };
  digest: string;
  log: Logged[];
  rechecks: { code: string; words: string }[];
}

const round = JSON.parse(document.getElementById("round")!.textContent!) as Round;
const { sheet, digest } = round;
const machine = document.getElementById("machine")!;
const job = machine.dataset["job"]!;
const roundId = machine.dataset["round"]!;
const base = `/jobs/${job}/rounds/${encodeURIComponent(roundId)}`;
const rows = new Map(sheet.rows.map((row) => [row.tooth, row]));

let log: Logged[] = round.log;
let waiting: Event[] = [];
let refused = "";
let offline = false;
let lastPress = performance.now();
let shownAsk = "";

const el = (id: string): HTMLElement => document.getElementById(id)!;
const lastSeq = (): number => log.reduce((most, one) => Math.max(most, one.seq), 0);

/** What stands: the store's log, and behind it what this device has kept and not yet sent. */
function state(): State {
  const there = new Set(log.map((one) => one.event.event_id));
  const behind = waiting.filter((event) => event.round_id === roundId && event.job_id === job && !there.has(event.event_id));
  return fold(sheet, digest, [...log, ...behind.map((event, i) => ({ seq: lastSeq() + 1 + i, event }))]);
}

/** Keep one act on this device, then show it, then send it; `said` is only said once it is kept. */
async function act(kind: string, tooth: number | null, data: Record<string, unknown> = {}, said = ""): Promise<void> {
  try {
    const event = await keep({
      v: 1,
      event_id: random(20),
      job_id: job,
      round_id: roundId,
      sheet_digest: digest,
      at: new Date().toISOString(),
      kind,
      tooth,
      data: { seen_seq: lastSeq(), ...data },
    });
    waiting.push(event);
    if (said) say(said);
  } catch {
    say(_("This device could not keep that. It does not count. Write it down and tell the desk."));
    return;
  }
  show();
  await send();
}

let sending: Promise<void> | null = null;

/** Send what is kept, in order; a refusal is shown, not tried for ever. */
function send(): Promise<void> {
  sending ??= deliver().finally(() => (sending = null));
  return sending;
}

async function deliver(): Promise<void> {
  for (;;) {
    const here = waiting.filter((event) => event.round_id === roundId && event.job_id === job);
    if (here.length === 0) return;
    let reply: Response;
    try {
      reply = await fetch(`${base}/events`, {
        method: "POST",
        headers: { "Content-Type": "application/json", Accept: "application/json" },
        body: JSON.stringify(here),
      });
    } catch {
      offline = true;
      show();
      return;
    }
    offline = false;
    if (!reply.ok) {
      const body = (await reply.json().catch(() => null)) as { problems?: { what: string; do: string }[] } | null;
      refused = body?.problems?.map((one) => `${one.what} ${one.do}`).join(" ") ?? _("The desk did not take this in.");
      show();
      return;
    }
    refused = "";
    const receipts = (await reply.json()) as { event_id: string; seq: number }[];
    const seqs = new Map(receipts.map((one) => [one.event_id, one.seq]));
    const taken = here.filter((event) => seqs.has(event.event_id));
    await acknowledged(taken);
    log = [...log, ...taken.map((event) => ({ seq: seqs.get(event.event_id)!, event }))];
    waiting = waiting.filter((event) => !seqs.has(event.event_id));
    await fetchNewer();
    show();
    void redraw();
  }
}

/** What other stations did meanwhile: everything is asked for anew when numbers are missing in between. */
async function fetchNewer(): Promise<void> {
  const known = new Set(log.map((one) => one.seq));
  let after = 0;
  while (known.has(after + 1)) after += 1;
  try {
    const reply = await fetch(`${base}/log?after=${after}`, { headers: { Accept: "application/json" } });
    if (!reply.ok) return;
    const newer = (await reply.json()) as Logged[];
    log = [...log.filter((one) => one.seq <= after), ...newer];
  } catch {
    offline = true;
  }
}

async function redraw(): Promise<void> {
  const now = state();
  try {
    const reply = await fetch(`${base}/ring?at=${now.next_tooth ?? now.at_tooth}`, { headers: { Accept: "application/json" } });
    if (!reply.ok) return;
    const parts = (await reply.json()) as { whole: string; strip: string; glass: string };
    const whole = el("whole").querySelector("svg");
    if (whole) whole.outerHTML = parts.whole;
    el("strip").innerHTML = parts.strip;
    el("glass").innerHTML = parts.glass;
    scrollStrip(now.next_tooth ?? now.at_tooth);
  } catch {
    offline = true;
  }
}

function scrollStrip(tooth: number): void {
  const strip = el("strip");
  const target = strip.querySelector(`[data-tooth="${tooth}"]`);
  strip.style.scrollBehavior = "auto"; // a smooth scroll still under way would be added to
  if (target) strip.scrollLeft += target.getBoundingClientRect().left - strip.getBoundingClientRect().left - strip.clientWidth / 2;
}

const say = (text: string): void => void (el("word").textContent = text);

function make<K extends keyof HTMLElementTagNameMap>(tag: K, text = "", name = ""): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  made.textContent = text;
  if (name) made.className = name;
  return made;
}

function field(id: string, label: string, unit = ""): HTMLElement {
  const span = make("span", "", "field");
  const caption = make("label", unit ? `${label}, ${unit}` : label);
  caption.htmlFor = id;
  const input = make("input");
  input.id = id;
  input.type = "text";
  input.inputMode = "decimal";
  input.autocomplete = "off";
  span.append(caption, input);
  return span;
}

/** A typed number, point or comma; null when it is none. */
function typed(id: string): number | null {
  const text = (el(id) as HTMLInputElement).value.trim().replace(",", ".");
  return /^[+-]?\d+(\.\d+)?$/.test(text) ? Number(text) : null;
}

function key(word: string, press: () => void, first = false, id = ""): HTMLButtonElement {
  const button = make("button", word, first ? "first" : "");
  button.type = "button";
  if (id) button.id = id;
  button.addEventListener("click", press);
  return button;
}

/** A press sooner than a tooth can be cut is kept, but does not count. */
function tooSoon(tooth: number): boolean {
  const after = (performance.now() - lastPress) / 1000;
  if (after >= sheet.least_seconds) return false;
  const said = _("Too soon after the last press, {s} s: not counted. Press again when the tooth is cut.", { s: after.toFixed(1) });
  void act("too_soon", tooth, { after_s: Number(after.toFixed(2)) }, said);
  return true;
}

function pressed(kind: "done" | "skipped" | "trouble", tooth: number, reason = ""): void {
  if (kind === "done" && tooSoon(tooth)) return;
  lastPress = performance.now();
  const said =
    kind === "done"
      ? _("Tooth {n} done.", { n: tooth })
      : kind === "skipped"
        ? _("Tooth {n} skipped. The next move is told from its place: if the ring was not turned there, go by reading and counter alone.", { n: tooth })
        : _("Trouble at tooth {n}: it stays to be done.", { n: tooth });
  void act(kind, tooth, reason ? { reason } : {}, said);
}

/** Skip and trouble are said with a reason: one press on a usual one, or typed; the first key goes without. */
function askReason(kind: "skipped" | "trouble", tooth: number): void {
  const usual = kind === "skipped" ? [_("cut already"), _("weld, later"), _("missing")] : [_("edge gone"), _("touched a flank"), _("too deep")];
  heading(kind === "skipped" ? _("Skip tooth {n}", { n: tooth }) : _("Trouble at tooth {n}", { n: tooth }), _("Why?"));
  el("body").replaceChildren(field("reason", _("Reason")));
  const reason = el("reason") as HTMLInputElement;
  reason.inputMode = "text";
  reason.maxLength = 300;
  say("");
  const give = (why: string): void => {
    shownAsk = "";
    pressed(kind, tooth, why);
  };
  el("keys").replaceChildren(
    key(kind === "skipped" ? _("Skip it") : _("Put it down"), () => give(reason.value.trim()), true, "give-reason"),
    ...usual.map((word) => key(word, () => give(word))),
    key(_("Back"), () => again()),
  );
  reason.addEventListener("keydown", (event) => {
    if ((event as KeyboardEvent).key === "Enter") give(reason.value.trim());
  });
  reason.focus();
}

function undo(now: State): void {
  const last = [...now.marks].sort((a, b) => a.seq - b.seq).at(-1);
  if (!last) return say(_("Nothing to take back."));
  say(_("Tooth {n} taken back: it is to be done again. If the ring has gone on, go back past that place and come up to its reading as always.", { n: last.tooth }));
  void act("undone", last.tooth, { undoes: last.event_id });
}

function expected(now: State): string {
  const times = log
    .filter((one) => one.event.kind === "done")
    .map((one) => Date.parse(one.event.at))
    .filter((one) => Number.isFinite(one))
    .sort((a, b) => a - b);
  const gaps = times.slice(1).map((one, i) => (one - times[i]!) / 1000).filter((one) => one > 0 && one < 1800).sort((a, b) => a - b);
  if (gaps.length < 5 || now.left === 0) return "";
  const middle = gaps[Math.floor(gaps.length / 2)]!;
  const slow = gaps[Math.floor(gaps.length * 0.8)]!;
  const at = new Date(Date.now() + 1000 * middle * now.left);
  const more = Math.max(1, Math.round(((slow - middle) * now.left) / 60));
  const clock = `${String(at.getHours()).padStart(2, "0")}:${String(at.getMinutes()).padStart(2, "0")}`;
  return _("at this pace done about {clock}, slow spells {m} min later", { clock, m: more });
}

/** The page as the state wants it. */
function show(): void {
  const now = state();
  const tooth = now.next_tooth ?? now.at_tooth;
  const asking = now.phase === "witness"; // the screen must not show what it is about to ask for
  const around = document.querySelector(".machine-ring")!;
  const wasAsking = around.classList.contains("asking");
  around.classList.toggle("asking", asking);
  if (wasAsking && !asking) scrollStrip(tooth); // a strip that was not shown has lost its place
  el("now").textContent = asking ? "?" : now.phase === "finished" ? "✓" : String(tooth);
  el("left").textContent = asking ? "" : _("{n} to go", { n: now.left });
  el("finish").textContent = asking ? "" : expected(now);
  const until = sheet.witness.every - now.since_witness.length;
  el("asks").textContent = now.phase !== "cutting" ? "" : until > 1 ? _("witness in {n} teeth", { n: until }) : _("witness after this tooth");
  const n = waiting.length;
  el("kept").textContent = refused
    ? refused
    : n === 0
      ? _("All at the desk.")
      : offline
        ? _("No network. Kept on this device, {n} still to send.", { n })
        : _("Kept on this device, {n} to send.", { n });
  const ask = `${now.phase}:${tooth}:${now.slips.length}:${now.marks.length}:${now.scribed}:${now.contested.length}`;
  if (ask === shownAsk) return;
  shownAsk = ask;
  const body = el("body");
  const keys = el("keys");
  body.replaceChildren();
  keys.replaceChildren();
  PHASES[now.phase]!(now, tooth, body, keys);
  for (const contested of now.contested) {
    body.append(make("p", _("Look at tooth {n}: two stations said contrary things about it.", { n: contested }), "zone"));
  }
  if (!["paused", "finished"].includes(now.phase)) keys.append(key(_("Pause"), () => askPause(), false, "pause"));
}

/** What is set, large; how it is come up to, beneath. */
function heading(cap: string, move: string): void {
  el("cap").textContent = cap;
  const cut = /^(.+?[.;?])\s+(.+)$/.exec(move);
  el("move").textContent = cut ? cut[1]!.replace(/[.;]$/, "") : move;
  el("how").textContent = cut ? cut[2]! : "";
}

function plan(tooth: number, body: HTMLElement): void {
  const row = rows.get(tooth);
  if (!row) return;
  body.append(make("p", _("Cut the space between teeth {n} and {next}.", { n: tooth, next: (tooth % sheet.teeth_on_ring) + 1 }), "how"));
  if (row.infeed_words) {
    const last = row.infeed_words.split(/[:;]\s+/).at(-1)!;
    body.append(make("p", _("Infeed"), "cap"), make("p", last, "infeed"));
    if (last !== row.infeed_words) body.append(make("p", row.infeed_words, "how"));
  }
  if (row.zone !== "sound") body.append(make("p", _("{zone}: a tooth beside this space is not sound metal.", { zone: row.zone.replace("_", " ") }), "zone"));
  if (row.speed_words) body.append(make("p", row.speed_words));
}

/** Where the device stands at a row, in few words. */
function placeOf(row: (typeof sheet.rows)[number]): string {
  const { hole, dial, turns, spindle_deg: deg } = row.position;
  const set = dial !== null ? _("dial {dial}", { dial }) : hole !== null ? _("hole {hole}", { hole }) : "";
  if (set === "") return `${deg.toFixed(2)}°`;
  return turns === null ? set : _("{set}, the counter at {turns} turns", { set, turns });
}

/** What is set after the last position of the dry run. */
function backToFirst(now: State): string {
  const first = sheet.rows.reduce((least, row) => (row.tooth < least.tooth ? row : least));
  if (onTo(sheet, now.at_tooth, first) === "one_move") return _("One more move: back to the first");
  return _("On to tooth {n} again. Clockwise to {place}.", { n: first.tooth, place: placeOf(first) });
}

const PHASES: Record<string, (now: State, tooth: number, body: HTMLElement, keys: HTMLElement) => void> = {
  dry_run(now, tooth, body, keys) {
    const all = now.scribed >= sheet.rows.length;
    heading(_("Dry run, {n} of {all} touched", { n: now.scribed, all: sheet.rows.length }), all ? backToFirst(now) : (rows.get(tooth)?.move_words ?? ""));
    body.append(make("p", _("Spindle off. Scribe or touch every position once round, then see whether the last move falls in the first mark.")));
    if (!all) keys.append(key(_("Touched {n}", { n: tooth }), () => void act("scribed", tooth), true, "touched"));
    if (all) {
      keys.append(
        key(_("It closes"), () => void act("dry_run_closed", null, { closes: true }), true, "closes"),
        key(_("It does not close"), () => void act("dry_run_closed", null, { closes: false })),
      );
    } else {
      const waived = { closes: true, waived: _("not every position was touched") };
      keys.append(key(_("Leave the dry run"), () => void act("dry_run_closed", null, waived), false, "waive"));
    }
  },
  first_tooth(now, tooth, body, keys) {
    const cut = now.marks.some((mark) => mark.tooth === tooth && mark.mark === "done");
    heading(_("First tooth, {n}", { n: tooth }), cut ? _("Measure it before the rest") : (rows.get(tooth)?.move_words ?? ""));
    if (!cut) {
      plan(tooth, body);
      keys.append(key(_("Cut"), () => pressed("done", tooth), true, "done"), key(_("Trouble"), () => askReason("trouble", tooth)));
      return;
    }
    body.append(field("lead", _("Lead-in at the pitch line"), "mm"), field("land", _("Land left on the end"), "mm"));
    const wanted = sheet.first_wanted;
    if (wanted) {
      const figures = { lead: wanted.lead_mm, l: sheet.tolerances.lead_mm, land: wanted.end_land_mm, e: sheet.tolerances.end_land_mm };
      body.append(make("p", _("Wanted after this first space alone: lead {lead} ± {l} mm, land {land} ± {e} mm.", figures)));
    } else body.append(make("p", _("No lead-in was reckoned for this round: judge the first tooth by a sound one.")));
    const measured = (within: boolean): void => {
      const data = { within, lead_mm: typed("lead"), end_land_mm: typed("land") };
      if (data.lead_mm === null && data.end_land_mm === null) return say(_("Put in what you measured first."));
      void act("first_measured", tooth, data);
      say(within ? _("The rest is released.") : _("Not released. Correct the setting, take the first tooth back, cut and measure again."));
    };
    keys.append(key(_("It is right: go on"), () => measured(true), true, "right"), key(_("It is not right"), () => measured(false)), key(_("Take back"), () => undo(now)));
  },
  cutting(now, tooth, body, keys) {
    heading(_("Next move, to tooth {n}", { n: tooth }), rows.get(tooth)?.move_words ?? "");
    plan(tooth, body);
    keys.append(
      key(_("Done"), () => pressed("done", tooth), true, "done"),
      key(_("Skip"), () => askReason("skipped", tooth), false, "skip"),
      key(_("Trouble"), () => askReason("trouble", tooth), false, "trouble"),
      key(_("Take back"), () => undo(now), false, "undo"),
      key(_("Done on paper"), () => askPaper(), false, "paper"),
    );
  },
  witness(now, _tooth, body, keys) {
    const slip = now.slips.filter((one) => !one.settled).at(-1);
    const last = sheet.teeth_on_ring;
    const painted = sheet.witness.kind === "painted";
    heading(_("Witness"), painted ? _("Between which two painted teeth does the cutter stand?") : _("What does the spindle's degree scale read?"));
    if (painted) body.append(make("p", _("Read it off the ring, and give the lower of the two numbers; between {last} and 1 give {last}.", { last })));
    if (slip) {
      const where = slip.stands_at === null ? _("no tooth of this round") : _("tooth {n}", { n: slip.stands_at });
      body.append(make("p", _("The ring and the log do not agree. The reading means {where}; the log has tooth {at}. The slip is within teeth {from} to {to}: look at them, take back what was not cut, then read again.", { where, at: slip.at_tooth, from: slip.teeth[0] ?? slip.at_tooth, to: slip.teeth.at(-1) ?? slip.at_tooth }), "zone"));
      keys.append(key(_("Take back the last"), () => undo(now), false, "undo"));
    }
    body.append(field("reading", painted ? _("Painted number, the lower") : _("Spindle"), painted ? "" : _("degrees")));
    const give = (): void => {
      const value = typed("reading");
      if (value === null) return say(_("Put in a number."));
      lastPress = performance.now();
      say("");
      void act("witness", null, { [sheet.witness.kind]: value });
    };
    keys.prepend(key(_("That is what stands there"), give, true, "witness"));
    el("reading").addEventListener("keydown", (event) => {
      if ((event as KeyboardEvent).key === "Enter") give();
    });
    (el("reading") as HTMLInputElement).focus();
  },
  paused(now, _tooth, body, keys) {
    heading(_("Paused"), now.pause_reason ? _("Paused: {why}", { why: now.pause_reason }) : _("Paused"));
    body.append(make("p", _("{n} teeth are left; the log stands at tooth {at}.", { n: now.left, at: now.at_tooth })));
    const last = rows.get(now.at_tooth);
    if (last) body.append(make("p", _("Written for tooth {at}: {move}", { at: now.at_tooth, move: last.move_words }), "how"));
    body.append(make("p", _("Before going on, look at these in order:")));
    round.rechecks.forEach((one) => {
      const label = make("label", "", "tick");
      const box = make("input");
      box.type = "checkbox";
      box.value = one.code;
      label.append(box, one.words);
      body.append(label);
    });
    const resume = (): void => {
      const boxes = [...body.querySelectorAll<HTMLInputElement>("input[type=checkbox]")];
      if (boxes.some((box) => !box.checked)) return say(_("Every line has to be looked at first."));
      say("");
      void act("resumed", null, { checked: boxes.map((box) => box.value) });
    };
    keys.append(key(_("Go on"), resume, true, "resume"));
  },
  closing(now, _tooth, body, keys) {
    if (now.closed) {
      const left = now.marks.filter((mark) => mark.mark === "skipped").map((mark) => mark.tooth).sort((a, b) => a - b);
      const word = left.length === 0 ? _("Every tooth is done. Finish the round?") : _("Not cut, skipped: {teeth}. Finish the round so?", { teeth: left.join(", ") });
      heading(_("The lap closed"), word);
      keys.append(key(_("Finish the round"), () => void act("finished", null), true, "finish"), key(_("Take back"), () => undo(now)));
      return;
    }
    const first = sheet.rows[0]!;
    heading(_("Closing check"), onTo(sheet, now.at_tooth) === "one_move" ? _("One more move: does it fall in the first tooth?") : _("Round to tooth {n}: does it fall in the first cut?", { n: first.tooth }));
    if (onTo(sheet, now.at_tooth) === "far") body.append(make("p", _("The cutter stands at tooth {at}, more than one move away. On clockwise to tooth {n}: {place}.", { at: now.at_tooth, n: first.tooth, place: placeOf(first) }), "zone"));
    if (sheet.closing.hole !== null) body.append(field("hole", _("Hole the pin is in")));
    body.append(field("degrees", _("Spindle"), _("degrees")));
    const close = (falls: boolean): void => {
      const hole = sheet.closing.hole === null ? null : typed("hole");
      const degrees = typed("degrees");
      if (falls && degrees === null) return say(_("Read the spindle's degrees first: without them nothing says that it is the first tooth and not its neighbour."));
      say("");
      void act("closing", null, { falls_in_first: falls, spindle_deg: degrees, ...(hole === null ? {} : { hole }) });
    };
    keys.append(key(_("It falls in the first"), () => close(true), true, "falls"), key(_("It does not"), () => close(false)), key(_("Take back"), () => undo(now)));
  },
  finished(_now, _tooth, body, keys) {
    heading(_("Round finished"), _("Finished"));
    body.append(make("p", _("Now: tram the head back, deburr both ends, mark across ring and seat, note which way the ring goes back on.")));
    const link = make("a", _("Prove it"), "act");
    link.href = `/jobs/${job}/prove`;
    keys.append(link);
  },
};

function askPause(): void {
  heading(_("Pause"), _("Why?"));
  const body = el("body");
  const keys = el("keys");
  body.replaceChildren(field("why", _("Reason")));
  (el("why") as HTMLInputElement).inputMode = "text";
  say("");
  const pause = (): void => void act("paused", null, { reason: (el("why") as HTMLInputElement).value.trim() || _("urgent job") });
  keys.replaceChildren(key(_("Pause the round"), pause, true, "pause-now"), key(_("Back"), () => again()));
  el("why").addEventListener("keydown", (event) => {
    if ((event as KeyboardEvent).key === "Enter") pause();
  });
  el("why").focus();
}

function askPaper(): void {
  heading(_("Done on paper"), _("Which teeth, in counting order?"));
  const painted = sheet.witness.kind === "painted";
  el("body").replaceChildren(
    field("from", _("From tooth")), field("to", _("To tooth")), field("by", _("By whom")),
    ...(painted ? [field("painted", _("Painted number beside the cutter now, the lower"))] : [field("hole", _("Last hole")), field("degrees", _("Spindle"), _("degrees"))]),
  );
  (el("by") as HTMLInputElement).inputMode = "text";
  const give = (): void => {
    const [from, to] = [typed("from"), typed("to")];
    if (from === null || to === null) return say(_("Put in both teeth."));
    const data: Record<string, unknown> = { from, to, by: (el("by") as HTMLInputElement).value.trim() };
    if (painted) data["painted"] = typed("painted");
    else Object.assign(data, { last_hole: typed("hole"), degrees: typed("degrees") });
    say("");
    void act("paper_teeth", null, data).then(again);
  };
  el("keys").replaceChildren(key(_("Put them in"), give, true), key(_("Back"), () => again()));
}

function again(): void {
  shownAsk = "";
  show();
}

// A foot switch is a keyboard: Space, Enter or a page key presses the first button, a few letters the others.
document.addEventListener("keydown", (event) => {
  const target = event.target as HTMLElement;
  if (event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
  if (target.matches("input, select, textarea, button, summary, a")) {
    if (!(target.matches("button") && ["s", "t", "u", "p"].includes(event.key))) return;
  }
  const id = { s: "skip", t: "trouble", u: "undo", p: "pause" }[event.key.toLowerCase()];
  const button = id
    ? (document.getElementById(id) as HTMLButtonElement | null)
    : [" ", "Enter", "PageDown", "ArrowRight"].includes(event.key)
      ? document.querySelector<HTMLButtonElement>("#keys button.first")
      : null;
  if (button) {
    event.preventDefault();
    button.click();
  }
});

el("give").addEventListener("click", () => {
  const file = new Blob([JSON.stringify(waiting, null, 1)], { type: "application/json" });
  const link = make("a");
  link.href = URL.createObjectURL(file);
  link.download = `ringwright-unsent-${job}.json`;
  link.click();
});
el("take").addEventListener("change", async (event) => {
  const file = (event.target as HTMLInputElement).files?.[0];
  if (!file) return;
  try {
    const taken = JSON.parse(await file.text()) as Event[];
    const there = new Set([...log.map((one) => one.event.event_id), ...waiting.map((one) => one.event_id)]);
    waiting.push(...taken.filter((one) => !there.has(one.event_id)));
    await send();
    again();
  } catch {
    say(_("That file holds no events."));
  }
});

addEventListener("online", () => void send());
setInterval(() => {
  if (waiting.length > 0 && !refused) void send();
}, 5000);

void (async () => {
  waiting = (await unsent().catch(() => [])).filter((event) => event.job_id === job && event.round_id === roundId);
  lastPress = performance.now() - 1000 * sheet.least_seconds;
  if (!state().started) await act("started", null);
  show();
  scrollStrip(state().next_tooth ?? state().at_tooth);
  await send();
})();
