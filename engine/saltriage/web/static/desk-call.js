// One call as plain data, and what can be done to it. Nothing here knows the page.

const MOST_UNDO = 30;
const SNAPSHOT = ["facts", "answers", "order", "dropped", "skipped", "asked", "insists", "safe", "times", "last"];

// How a number is written of which only a limit is known.
export const SIGNS = { below: "<", above: ">" };
export const signOf = (entry) => SIGNS[entry.bound] || "";

export function newCall(units) {
  return {
    id: newName(),
    begun: new Date().toISOString(),
    ended: "",
    words: "",
    said: "", // the words as they were listened to last; those that are being typed come a moment later
    notes: "",
    facts: units === "us" ? { units: "us" } : {}, // the case without symptoms and words
    answers: {}, // symptom -> {said, from}
    order: [], // symptoms in the order in which they were told
    heard: { symptoms: {}, readings: {}, hints: {} }, // what the words say now; readings by path, chances of what is likely
    dropped: {}, // heard, and taken back by hand
    draft: {}, // numbers that are being typed
    skipped: [],
    asked: [],
    insists: false, // asks on although the questions would end
    units,
    times: {},
    safe: "", // everybody out and well: no, unknown, or yes with the stop rules that stood, "yes:stop-a+stop-b"
    last: "",
    before: null, // chances before the last answer
    undo: [],
    outcome: "",
    danger: "",
    record: null,
    person: { name: "", phone: "", address: "" }, // who calls; of a kept desk alone
    ringBack: "", // a moment in UTC
    spent: 0, // ms on the line
    touched: 0,
    desk: false, // whether it belongs to a kept desk
    kept: null, // what the kept desk has of it: version, number, the state that was acknowledged last
  };
}

// A random UUID (RFC 9562, version 4); `crypto.randomUUID` is there on safe connections alone.
function newName() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

export function at(data, path) {
  return path.split(".").reduce((found, key) => (found && typeof found === "object" ? found[key] : undefined), data);
}

// With a value at a path, or without it where the value is empty; objects that are empty then go as well.
export function put(data, path, value) {
  const keys = path.split(".");
  const trail = [data];
  for (const key of keys.slice(0, -1)) {
    const inner = trail.at(-1)[key];
    trail.push(inner && typeof inner === "object" ? inner : (trail.at(-1)[key] = {}));
  }
  if (value === "" || value === null || value === undefined) delete trail.at(-1)[keys.at(-1)];
  else trail.at(-1)[keys.at(-1)] = value;
  for (let depth = trail.length - 1; depth > 0; depth -= 1) {
    if (!Object.keys(trail[depth]).length) delete trail[depth - 1][keys[depth - 1]];
  }
}

// The case as a file holds it: what was answered comes before what was heard.
export function caseOf(call) {
  const made = structuredClone(call.facts);
  for (const [path, entry] of Object.entries(call.heard.readings)) {
    if (at(made, path) === undefined && !call.dropped[path]) put(made, path, entry);
  }
  const symptoms = {};
  for (const [id, { said }] of Object.entries(toldOf(call))) symptoms[id] = said;
  if (Object.keys(symptoms).length) made.symptoms = symptoms;
  const hints = Object.entries({ ...made.heard, ...call.heard.hints }).filter(([id]) => !symptoms[id] && !call.dropped[id]);
  delete made.heard;
  if (hints.length) made.heard = Object.fromEntries(hints);
  if (call.said.trim()) made.said = call.said.trim();
  return made;
}

// Everything told: symptom -> {said, from}, in the order in which it was told.
export function toldOf(call) {
  const found = {};
  for (const id of call.order) {
    if (call.answers[id]) found[id] = call.answers[id];
    else if (call.heard.symptoms[id] && !call.dropped[id]) found[id] = { said: call.heard.symptoms[id], from: "heard" };
  }
  return found;
}

export function isEmpty(call) {
  const facts = Object.keys(call.facts).filter((key) => key !== "units");
  const who = Object.values(call.person).some(Boolean) || call.ringBack;
  return !who && !call.words.trim() && !call.notes.trim() && !call.order.length && !facts.length && !call.asked.length;
}

// To be called before anything is changed that can be undone.
export function remember(call) {
  call.undo.push(JSON.stringify(Object.fromEntries(SNAPSHOT.map((key) => [key, call[key]]))));
  call.undo.splice(0, call.undo.length - MOST_UNDO);
}

export function undone(call) {
  const before = call.undo.pop();
  if (!before) return false;
  Object.assign(call, JSON.parse(before));
  return true;
}

export function answer(call, id, said, from) {
  call.answers[id] = { said, from };
  if (!call.order.includes(id)) call.order.push(id);
}

// No answer any more; what was heard is not taken again, and what was asked may be asked anew.
export function takeBack(call, id) {
  delete call.answers[id];
  call.order = call.order.filter((each) => each !== id);
  call.skipped = call.skipped.filter((each) => each !== id);
  call.dropped[id] = true;
  call.asked = call.asked.filter((asked) => !asked.split("+").includes(id));
}

export function hear(call, symptoms, readings, hints) {
  const before = JSON.stringify([call.heard, call.order]);
  call.heard = { symptoms, readings, hints };
  for (const id of Object.keys(symptoms)) {
    if (!call.order.includes(id) && !call.dropped[id]) call.order.push(id);
  }
  call.order = call.order.filter((id) => call.answers[id] || symptoms[id]);
  return before !== JSON.stringify([call.heard, call.order]);
}

export function skip(call, id) {
  if (!call.skipped.includes(id)) call.skipped.push(id);
}

// A case from a file, as a call of its own.
export function callOf(data, units) {
  const call = newCall(data.units === "us" ? "us" : units);
  const { symptoms = {}, said = "", ...facts } = data;
  call.facts = facts;
  call.words = said;
  call.said = said;
  for (const [id, told] of Object.entries(symptoms)) {
    answer(call, id, { true: "yes", false: "no" }[String(told)] || String(told), "file");
  }
  return call;
}

export function clock(date = new Date()) {
  return `${String(date.getHours()).padStart(2, "0")}:${String(date.getMinutes()).padStart(2, "0")}`;
}

// A local time to the minute, as records write it.
export function localTime(date = new Date()) {
  const day = [date.getFullYear(), date.getMonth() + 1, date.getDate()].map((part) => String(part).padStart(2, "0"));
  return `${day.join("-")}T${clock(date)}`;
}
