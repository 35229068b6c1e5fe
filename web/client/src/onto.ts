// From where the cutter stands to the first tooth: one move as made all round, or further than that.

import type { Row, Sheet } from "./fold";

/** Degrees from one row to another in the direction of turning, 0 to 360. */
const between = (from: Row, to: Row): number => (((to.position.spindle_deg - from.position.spindle_deg) % 360) + 360) % 360;

/** The move that is made most often from row to row [degrees]; null when the sheet has too few rows to tell. */
export function usualMove(sheet: Sheet): number | null {
  const moves = sheet.rows.slice(1).map((row, i) => between(sheet.rows[i]!, row));
  const near = (a: number, b: number): boolean => Math.abs(a - b) < sheet.witness.within_deg;
  const counted = moves.map((move) => moves.filter((other) => near(move, other)).length);
  const most = Math.max(0, ...counted);
  return most < 2 ? null : moves[counted.indexOf(most)]!;
}

/** Whether `first` (the first row, if none is named) lies one usual move ahead of the tooth the cutter stands at. */
export function onTo(sheet: Sheet, at: number, first: Row = sheet.rows[0]!): "one_move" | "far" {
  const here = sheet.rows.find((row) => row.tooth === at);
  const usual = usualMove(sheet);
  if (here === undefined || usual === null) return "far";
  return Math.abs(between(here, first) - usual) < sheet.witness.within_deg ? "one_move" : "far";
}
