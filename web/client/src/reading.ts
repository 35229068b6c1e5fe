// Readings one after another: the field for the further figure says what it wants, and the next reading can be typed at once.

/** What the further figure of a reading is called; undefined when the reading needs none. */
export function extraFor(extras: string, what: string): string | undefined {
  const known: unknown = JSON.parse(extras);
  if (typeof known !== "object" || known === null || !Object.hasOwn(known, what)) return undefined;
  return String(known[what as keyof typeof known]);
}

export function startReading(root: ParentNode): void {
  for (const form of root.querySelectorAll<HTMLFormElement>("form[data-reading]")) {
    const what = form.querySelector<HTMLSelectElement>('[name="what"]');
    const extra = form.querySelector<HTMLInputElement>('[name="extra"]');
    const value = form.querySelector<HTMLInputElement>('[name="value"]');
    if (!what || !extra || !value) continue;
    const named = form.querySelector<HTMLLabelElement>(`label[for="${extra.id}"]`);
    const show = (): void => {
      const word = extraFor(form.dataset["extras"] ?? "{}", what.value);
      if (named && word) named.textContent = word;
      const field = extra.closest<HTMLElement>(".field");
      if (field) field.hidden = word === undefined;
    };
    what.addEventListener("change", () => {
      extra.value = ""; // the figure proposed was for another reading
      show();
    });
    show();
    if ("next" in form.dataset) value.focus(); // calipers that type and press Enter go straight on
  }
}
