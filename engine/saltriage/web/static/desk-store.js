// Calls are kept in this browser and nowhere else: one entry each, and one list of them.

import { newCall } from "./desk-call.js";

const LIST = "saltriage.desk.calls";
const CALL = "saltriage.desk.call.";
const CHOICES = "saltriage.desk.choices";

function read(key, otherwise) {
  try {
    return JSON.parse(localStorage.getItem(key)) ?? otherwise;
  } catch {
    return otherwise;
  }
}

// False where the browser keeps nothing, or is full.
function write(key, value) {
  try {
    localStorage.setItem(key, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

// What is no list of calls, as another program may have left it, counts as none.
export function calls() {
  const found = read(LIST, []);
  return Array.isArray(found) ? found.filter((each) => each && typeof each.id === "string" && each.begun) : [];
}

export function keep(call) {
  const name = call.person.name || call.facts.title || "";
  const line = { id: call.id, begun: call.begun, ended: call.ended, name, outcome: call.outcome, danger: call.danger };
  // Read anew: another window may have kept calls of its own meanwhile.
  const others = calls().filter((each) => each.id !== call.id);
  const list = [line, ...others].sort((one, other) => (one.begun < other.begun ? 1 : -1));
  return write(CALL + call.id, call) && write(LIST, list);
}

// A call as it was kept, with all that a call of today has; null where there is none.
export function kept(id) {
  const found = id ? read(CALL + id, null) : null;
  return found && found.id === id && typeof found.words === "string" ? { ...newCall("metric"), ...found } : null;
}

export function forget(id) {
  localStorage.removeItem(CALL + id);
  write(LIST, calls().filter((each) => each.id !== id));
}

// Units as in the country of the browser until somebody chooses.
export function choices() {
  const units = /-US$/.test(navigator.language) ? "us" : "metric";
  const chosen = read(CHOICES, {});
  return { units, keysOff: false, ...(chosen && typeof chosen === "object" ? chosen : {}) };
}

export function choose(changed) {
  write(CHOICES, { ...choices(), ...changed });
}

export function whenKept(then) {
  addEventListener("storage", (event) => {
    if (event.key === null || event.key.startsWith("saltriage.desk.")) then(event.key || "");
  });
}

export const keyOf = (id) => CALL + id;
