// Marking on the Map page: touch a tooth, drag a stretch, touch again for the next condition, keys for all of it.
// Every act is one of the page's own forms, sent in the background; the answer is the page as it then stands.
import { dragged, step, within } from "./marking";
import { startStrip } from "./strip";

const KEYS = ["worn", "chewed", "chipped", "cracked", "missing", "weld", "sound"];

interface Last {
  condition: string;
  end: string;
  flank: string;
}

let last: Last | null = null;
let queue: Promise<void> = Promise.resolve();

/** One act after the other, each on the page as the one before left it: a quick second touch is not lost. */
function next(act: () => Promise<void>): void {
  queue = queue.then(act).catch(() => undefined);
}

function ledger(): HTMLElement | null {
  return document.querySelector<HTMLElement>("[data-map]");
}

function markForm(): HTMLFormElement | null {
  return document.querySelector<HTMLFormElement>("form[data-mark]");
}

function here(): number {
  return Number(ledger()?.dataset["tooth"] ?? "1");
}

function teeth(): number {
  return Number(document.querySelector<HTMLElement>(".striphold")?.dataset["teeth"] ?? "1");
}

function field(form: HTMLFormElement, name: string): HTMLInputElement | HTMLSelectElement | null {
  const found = form.elements.namedItem(name);
  return found instanceof HTMLInputElement || found instanceof HTMLSelectElement ? found : null;
}

/** Put the page that came back in place of the one shown; what has the focus keeps it. */
function take(text: string, address: string): void {
  const got = new DOMParser().parseFromString(text, "text/html");
  const work = got.querySelector("main");
  const now = document.querySelector("main");
  if (!work || !now) {
    location.assign(address);
    return;
  }
  const focused = document.activeElement;
  const again = focused instanceof HTMLElement && focused.id ? focused.id : null;
  const value = focused instanceof HTMLButtonElement ? focused.value : null;
  const strip = now.querySelector(".striphold")?.scrollLeft ?? null;
  now.replaceWith(work);
  const rule = got.querySelector(".rule");
  if (rule) document.querySelector(".rule")?.replaceWith(rule);
  document.title = got.title;
  history.replaceState(null, "", address);
  const hold = work.querySelector(".striphold");
  if (hold && strip !== null && strip > 0) hold.scrollLeft = strip;
  else startStrip(work);
  if (again) document.getElementById(again)?.focus({ preventScroll: true });
  else if (value) work.querySelector<HTMLElement>(`form[data-mark] button[value="${value}"]`)?.focus({ preventScroll: true });
  listen(work);
}

async function show(address: string): Promise<void> {
  try {
    const got = await fetch(address, { headers: { Accept: "text/html" } });
    take(await got.text(), address);
  } catch {
    location.assign(address);
  }
}

async function send(form: HTMLFormElement, extra: Record<string, string> = {}): Promise<void> {
  const body = new URLSearchParams();
  new FormData(form).forEach((value, name) => {
    if (typeof value === "string") body.append(name, value);
  });
  for (const [name, value] of Object.entries(extra)) body.set(name, value);
  try {
    const got = await fetch(form.action, { method: "POST", body, headers: { Accept: "text/html" } });
    take(await got.text(), got.redirected ? got.url : location.href);
  } catch {
    say(ledger()?.dataset["lost"] ?? "");
  }
}

function say(words: string): void {
  const at = ledger();
  if (!at) return;
  const box = document.createElement("div");
  box.className = "warn";
  box.setAttribute("role", "alert");
  box.textContent = words;
  at.prepend(box);
}

async function mark(condition: string, extra: Record<string, string> = {}): Promise<void> {
  const form = markForm();
  if (!form) return;
  const all = { condition, ...extra };
  if (condition !== "next") {
    last = {
      condition,
      end: extra["end"] ?? field(form, "end")?.value ?? "entry",
      flank: extra["flank"] ?? field(form, "flank")?.value ?? "both",
    };
  }
  await send(form, all);
}

async function again(): Promise<void> {
  if (last) await mark(last.condition, { end: last.end, flank: last.flank });
}

async function undo(): Promise<void> {
  const form = document.querySelector<HTMLFormElement>("form[data-undo]");
  if (form) await send(form);
}

/** A touch: the tooth under the scriber gets its next condition, another one gets the scriber, a run is shown. */
async function touched(first: number, lastOne: number): Promise<void> {
  if (first !== lastOne) await show(`${location.pathname}?tooth=${first}&to=${lastOne}`);
  else if (first === here()) await mark("next");
  else await goTo(first);
}

async function goTo(tooth: number): Promise<void> {
  const form = markForm();
  const end = form ? (field(form, "end")?.value ?? "entry") : "entry";
  const flank = form ? (field(form, "flank")?.value ?? "both") : "both";
  await show(`${location.pathname}?tooth=${tooth}&end=${end}&flank=${flank}`);
}

function key(event: KeyboardEvent): void {
  const target = event.target;
  if (event.altKey || event.ctrlKey || event.metaKey || !ledger()) return;
  if (target instanceof HTMLInputElement || target instanceof HTMLSelectElement || target instanceof HTMLTextAreaElement) return;
  const digit = KEYS[Number(event.key) - 1];
  const by = event.shiftKey ? 10 : 1;
  if (event.key === "ArrowRight" || event.key === "ArrowDown") next(() => goTo(step(here(), by, teeth())));
  else if (event.key === "ArrowLeft" || event.key === "ArrowUp") next(() => goTo(step(here(), -by, teeth())));
  else if (digit !== undefined) next(() => mark(digit));
  else if (event.key === "n" || event.key === "N") next(() => mark("next"));
  else if (event.key === "r" || event.key === "R") next(again);
  else if (event.key === "u" || event.key === "U") next(undo);
  else return;
  event.preventDefault();
}

function toothAt(event: PointerEvent): number | null {
  const under = document.elementFromPoint(event.clientX, event.clientY);
  const tooth = under?.closest("[data-tooth].hit")?.getAttribute("data-tooth");
  return tooth ? Number(tooth) : null;
}

function shade(side: Element, first: number, lastOne: number): void {
  for (const hit of side.querySelectorAll(".hit")) {
    const n = Number(hit.getAttribute("data-tooth"));
    hit.classList.toggle("dragged", within(n, first, lastOne, teeth()));
  }
}

function listenDrag(side: HTMLElement): void {
  let from: number | null = null;
  let to: number | null = null;
  const rolls = (event: PointerEvent): boolean => event.target instanceof Element && event.target.closest(".striphold") !== null;
  side.addEventListener("pointerdown", (event) => {
    from = toothAt(event);
    to = from;
    if (from !== null && !rolls(event)) event.preventDefault();
  });
  side.addEventListener("pointermove", (event) => {
    if (from === null || rolls(event)) return;
    const n = toothAt(event);
    if (n === null || n === to) return;
    to = n;
    const run = dragged(from, to, teeth());
    shade(side, run.first, run.last);
  });
  side.addEventListener("pointercancel", () => {
    from = null;
  });
  side.addEventListener("pointerup", () => {
    if (from === null || to === null) return;
    const run = dragged(from, to, teeth());
    from = null;
    next(() => touched(run.first, run.last));
  });
}

function listen(root: ParentNode): void {
  for (const side of root.querySelectorAll<HTMLElement>('[data-acts="mark"]')) listenDrag(side);
  root.querySelector<HTMLFormElement>("form[data-mark]")?.addEventListener("submit", (event) => {
    event.preventDefault();
    const by = event.submitter;
    const pressed = by instanceof HTMLButtonElement ? by.value : "next";
    next(() => mark(pressed));
  });
  root.querySelector<HTMLFormElement>("form[data-undo]")?.addEventListener("submit", (event) => {
    event.preventDefault();
    next(undo);
  });
}

export function startMap(root: Document): void {
  if (!root.querySelector("[data-map]")) return;
  listen(root);
  root.addEventListener("keydown", key);
}
