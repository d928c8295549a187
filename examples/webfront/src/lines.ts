// What one line of a history is about. The member format tells the kinds apart; the compiler
// refuses this file once there is another.
import type { LineOfAHistory } from "../types/line.js";

export function about(line: LineOfAHistory): string {
  switch (line.format) {
    case "moistheat.load/1":
      return `load ${line.id}, ${line.packs.length} packs`;
    case "moistheat.event/1":
      return `${line.kind} of sterilizer ${line.sterilizer}`;
    case "moistheat.stored/1":
      return `pack ${line.pack} of load ${line.record}`;
    case "moistheat.cleaning/1":
      return `batch of cleaning ${line.id}`;
    case "moistheat.amendment/1":
      return `amendment of ${line.lines.length} lines: ${line.why}`;
    default:
      return unknown(line);
  }
}

function unknown(line: never): string {
  throw new Error(`unknown line: ${JSON.stringify(line)}`);
}
