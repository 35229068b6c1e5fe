// What this station has done and not yet sent, kept on the device. A press is shown as kept only after the transaction
// has completed with strict durability; the running number of the station is in the same transaction.

import type { Event } from "./fold";

const NAME = "ringwright";

function opened(): Promise<IDBDatabase> {
  return new Promise((ok, no) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore("unsent", { keyPath: "station_seq" });
      request.result.createObjectStore("plain");
    };
    request.onsuccess = () => ok(request.result);
    request.onerror = () => no(request.error);
  });
}

/** Random letters and digits; works without a secure context. */
export function random(length: number): string {
  const bytes = crypto.getRandomValues(new Uint8Array(length));
  return Array.from(bytes, (byte) => "abcdefghijklmnopqrstuvwxyz0123456789"[byte % 36]).join("");
}

/** Put an act in, giving it the station's name and next number; resolves when it is on disk. */
export async function keep(act: Omit<Event, "station" | "station_seq">): Promise<Event> {
  const db = await opened();
  return new Promise((ok, no) => {
    const transaction = db.transaction(["unsent", "plain"], "readwrite", { durability: "strict" });
    const plain = transaction.objectStore("plain");
    let event: Event;
    const reading = plain.get("station");
    reading.onsuccess = () => {
      const station = (reading.result as { name: string; last: number } | undefined) ?? { name: `s-${random(12)}`, last: 0 };
      event = { ...act, station: station.name, station_seq: station.last + 1 };
      plain.put({ name: station.name, last: event.station_seq }, "station");
      transaction.objectStore("unsent").put(event);
    };
    transaction.oncomplete = () => ok(event);
    transaction.onerror = () => no(transaction.error);
    transaction.onabort = () => no(transaction.error);
  });
}

/** Everything not yet acknowledged, in this station's order. */
export async function unsent(): Promise<Event[]> {
  const db = await opened();
  return new Promise((ok, no) => {
    const request = db.transaction("unsent").objectStore("unsent").getAll();
    request.onsuccess = () => ok(request.result as Event[]);
    request.onerror = () => no(request.error);
  });
}

/** Forget what the store has acknowledged. */
export async function acknowledged(events: readonly Event[]): Promise<void> {
  const db = await opened();
  return new Promise((ok, no) => {
    const transaction = db.transaction("unsent", "readwrite", { durability: "strict" });
    for (const event of events) transaction.objectStore("unsent").delete(event.station_seq);
    transaction.oncomplete = () => ok();
    transaction.onerror = () => no(transaction.error);
  });
}
