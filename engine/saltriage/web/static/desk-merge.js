// Two states of one call put together, field by field, against the state that both began with. Nothing here knows the page.

import { at, put } from "./desk-call.js";

// What of a call is kept on the desk beside its case; half a number that is being typed and steps of undo stay here.
const SHEET = ["words", "said", "notes", "facts", "answers", "order", "heard", "dropped", "skipped", "asked", "insists", "safe", "units", "times", "ended", "record"];
const FOLDED = ["facts", "answers", "dropped", "times"]; // one field for each thing told
const LISTS = ["skipped", "asked", "order"];
const TEXTS = ["words", "notes"];
const QUIET = ["heard", "said", "record", "times"]; // worked out anew, or of no weight

export function stateOf(call) {
  const sheet = Object.fromEntries(SHEET.map((key) => [key, call[key]]));
  return structuredClone({ ...call.person, ringBack: call.ringBack, ...sheet });
}

export const sheetOf = (state) => Object.fromEntries(SHEET.map((key) => [key, state[key]]));

export function intoCall(call, state) {
  const { name, phone, address, ringBack, ...sheet } = structuredClone(state);
  Object.assign(call, sheet, { person: { name, phone, address }, ringBack });
}

// The same text for the same state, in whatever order its keys stand.
export function stable(value) {
  if (Array.isArray(value)) return `[${value.map(stable).join()}]`;
  if (!value || typeof value !== "object") return JSON.stringify(value) ?? "null";
  return `{${Object.keys(value).sort().map((key) => `${JSON.stringify(key)}:${stable(value[key])}`).join()}}`;
}

// path -> value; an entry of a reading and an answer are one value each.
function fieldsOf(state) {
  const found = new Map();
  const walk = (path, value) => {
    const folds = value && typeof value === "object" && !Array.isArray(value) && !("value" in value) && !("said" in value);
    if (folds) for (const [key, inner] of Object.entries(value)) walk(`${path}.${key}`, inner);
    else found.set(path, value);
  };
  for (const [key, value] of Object.entries(state)) {
    if (FOLDED.includes(key)) walk(key, value);
    else if (!LISTS.includes(key) && !TEXTS.includes(key)) found.set(key, value);
  }
  return found;
}

// A text that both wrote on has both; neither loses a word.
function bothTexts(base, mine, theirs) {
  if (mine === base || theirs.includes(mine)) return theirs;
  if (theirs === base || mine.includes(theirs)) return mine;
  if (mine.startsWith(base)) return theirs + mine.slice(base.length);
  if (theirs.startsWith(base)) return mine + theirs.slice(base.length);
  return `${theirs}\n${mine}`;
}

// What either put in is in; what either took out is out.
function bothLists(base, mine, theirs) {
  const kept = base.filter((each) => mine.includes(each) && theirs.includes(each));
  return [...new Set([...kept, ...theirs.filter((each) => !base.includes(each)), ...mine.filter((each) => !base.includes(each))])];
}

// Returns: the state of both, with mine where both told another thing; what came from them; and where both did.
export function merged(base, mine, theirs) {
  const state = structuredClone(mine);
  const before = fieldsOf(base);
  const [ours, others] = [fieldsOf(mine), fieldsOf(theirs)];
  const taken = [];
  const clashes = {};
  for (const path of new Set([...ours.keys(), ...others.keys(), ...before.keys()])) {
    const [was, my, their] = [before, ours, others].map((fields) => stable(fields.get(path)));
    if (my === their || their === was) continue;
    if (my === was || QUIET.includes(path.split(".")[0])) {
      put(state, path, structuredClone(others.get(path)));
      if (!others.has(path) || others.get(path) === "") set(state, path, others.get(path));
      taken.push(path);
    } else clashes[path] = { mine: ours.get(path), theirs: others.get(path) };
  }
  for (const key of TEXTS) {
    state[key] = bothTexts(base[key] || "", mine[key] || "", theirs[key] || "");
    if (state[key] !== mine[key]) taken.push(key);
  }
  // Of two answers to whether all are safe the worse one holds.
  if (clashes.safe) state.safe = [mine.safe, theirs.safe].find((each) => !each.startsWith("yes:")) || "unknown";
  for (const key of LISTS) state[key] = bothLists(base[key] || [], mine[key] || [], theirs[key] || []);
  for (const key of FOLDED) state[key] ||= {};
  return { state, taken, clashes };
}

// A field that is no part of a fold is never taken away, only emptied.
function set(state, path, value) {
  if (!path.includes(".")) state[path] = value ?? "";
}

export function withValue(state, path, value) {
  put(state, path, value === undefined ? null : structuredClone(value));
  set(state, path, value);
  for (const key of FOLDED) state[key] ||= {};
  return state;
}

export const valueAt = (state, path) => at(state, path);
