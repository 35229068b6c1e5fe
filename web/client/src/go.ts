// Where a page's ring is a menu: touch a tooth and go to it, on Prove for a check there, elsewhere on the map.

/** The address that a touched tooth leads to; undefined when there is no such tooth or page. */
export function wayTo(path: string, query: string, tooth: string | undefined): string | undefined {
  const found = /^(\/jobs\/[a-z0-9-]+)\/([a-z-]+)/.exec(path);
  if (!found || !tooth || !/^[1-9]\d{0,3}$/.test(tooth)) return undefined;
  if (found[2] !== "prove") return `${found[1]}/map?tooth=${tooth}`;
  const what = new URLSearchParams(query).get("what");
  return `${found[1]}/prove?${what ? `what=${encodeURIComponent(what)}&` : ""}tooth=${tooth}#one`;
}

export function startGo(root: ParentNode): void {
  for (const side of root.querySelectorAll<HTMLElement>('[data-acts="go"]')) {
    side.addEventListener("click", (event) => {
      const hit = event.target instanceof Element ? event.target.closest<SVGElement>("[data-tooth]") : null;
      const way = wayTo(location.pathname, location.search, hit?.dataset["tooth"]);
      if (way) location.assign(way);
    });
  }
}
