// On a phone the ring is unrolled; the strip is scrolled so that the tooth under the scriber stands in the middle.

/** How far to scroll so that a tooth of `teeth` stands in the middle of a window `seen` wide. */
export function scrollFor(tooth: number, teeth: number, wide: number, seen: number): number {
  const middle = ((tooth - 0.5) / teeth) * wide;
  return Math.max(0, Math.min(wide - seen, middle - seen / 2));
}

export function startStrip(root: ParentNode): void {
  for (const hold of root.querySelectorAll<HTMLElement>(".striphold")) {
    const tooth = Number(hold.dataset["at"] ?? "1");
    const teeth = Number(hold.dataset["teeth"] ?? "1");
    hold.style.scrollBehavior = "auto";
    hold.scrollLeft = scrollFor(tooth, teeth, hold.scrollWidth, hold.clientWidth);
    hold.style.scrollBehavior = "";
  }
}

/** On a phone the rule scrolls sideways; the stage that is open stands in it where it can be seen. */
export function startRule(root: ParentNode): void {
  const rule = root.querySelector<HTMLElement>(".rule");
  const here = rule?.querySelector<HTMLElement>("a[aria-current]")?.parentElement;
  if (rule && here) rule.scrollLeft = here.offsetLeft - (rule.clientWidth - here.offsetWidth) / 2;
}
