// The part of marking that needs no page: which teeth a drag covers, where the keys lead.

/** The tooth `by` places on, counting round. */
export function step(tooth: number, by: number, teeth: number): number {
  return ((((tooth - 1 + by) % teeth) + teeth) % teeth) + 1;
}

/** The teeth of a drag from `a` to `b`, the short way round, as first and last in counting direction. */
export function dragged(a: number, b: number, teeth: number): { first: number; last: number } {
  const on = (((b - a) % teeth) + teeth) % teeth;
  return on <= teeth / 2 ? { first: a, last: b } : { first: b, last: a };
}

/** Whether a tooth lies in the stretch from first to last, counting round. */
export function within(tooth: number, first: number, last: number, teeth: number): boolean {
  const span = (((last - first) % teeth) + teeth) % teeth;
  return (((tooth - first) % teeth) + teeth) % teeth <= span;
}
