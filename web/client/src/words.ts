// All words of the browser's part pass here; Babel extracts them. English is the source and needs no file.

/** Say a message; `{name}` places are filled. */
export function _(message: string, values: Record<string, string | number> = {}): string {
  return message.replace(/\{(\w+)\}/g, (whole, name: string) => (name in values ? String(values[name]) : whole));
}
