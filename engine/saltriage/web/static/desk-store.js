// Calls are kept in this browser: one entry each, and one list of them. On a kept desk each agent has his own, as what one
// of them could not send must not be sent, or shown, as another's.

import { newCall } from "./desk-call.js";

const ownOf = (agent) => (agent === undefined ? "saltriage.desk." : `saltriage.desk.of.${encodeURIComponent(agent)}.`);
const OWN = ownOf(document.body.dataset.agent);
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
export function calls(own = OWN) {
  const found = read(`${own}calls`, []);
  return Array.isArray(found) ? found.filter((each) => each && typeof each.id === "string" && each.begun) : [];
}

export function keep(call) {
  const name = call.person.name || call.facts.title || "";
  const line = { id: call.id, begun: call.begun, ended: call.ended, name, outcome: call.outcome, danger: call.danger };
  // Read anew: another window may have kept calls of its own meanwhile.
  const others = calls().filter((each) => each.id !== call.id);
  const list = [line, ...others].sort((one, other) => (one.begun < other.begun ? 1 : -1));
  return write(keyOf(call.id), call) && write(`${OWN}calls`, list);
}

// A call as it was kept, with all that a call of today has; null where there is none.
export function kept(id, own = OWN) {
  const found = id ? read(keyOf(id, own), null) : null;
  return found && found.id === id && typeof found.words === "string" ? { ...newCall("metric"), ...found } : null;
}

export function forget(id, own = OWN) {
  localStorage.removeItem(keyOf(id, own));
  write(`${own}calls`, calls(own).filter((each) => each.id !== id));
}

// Calls that other agents left in this browser, each with what forgets it.
export function ofOthers() {
  try {
    const lists = Object.keys(localStorage).map((key) => /^(saltriage\.desk\.of\.(.+)\.)calls$/.exec(key)).filter((found) => found && found[1] !== OWN);
    return lists.flatMap(([, own, agent]) => calls(own).map(({ id }) => ({ agent: decodeURIComponent(agent), call: kept(id, own), forget: () => forget(id, own) })));
  } catch {
    return []; // the browser keeps nothing, or a name that is none of ours
  }
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

export const keyOf = (id, own = OWN) => `${own}call.${id}`;
