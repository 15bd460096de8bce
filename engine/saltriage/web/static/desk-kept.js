// The kept desk: every call is saved in it from the first letter on, with the version that the change began with.
//
// A call has its name from here, so what is sent twice is kept once. What could not be sent stays in this browser until it
// can; what is on the desk and not open is not left here.

import * as store from "./desk-store.js";
import { callOf, caseOf, isEmpty, newCall, put } from "./desk-call.js";
import { $, desk, on, tell } from "./desk-page.js";
import { asked, sent } from "./desk-line.js";
import { act, refusals } from "./desk-panels.js";
import { intoCall, merged, sheetOf, stable, stateOf, withValue } from "./desk-merge.js";
import { FIELDS, fillWho, withCaret } from "./desk-who.js";
import { fillWords } from "./desk-words.js";

const REST = 700; // ms after the last change
const LONGEST = 2500; // ms that a change waits while others follow it
const AGAIN = [1000, 2000, 4000, 8000, 15000]; // ms between tries on a bad line
const LOOK = 10_000; // ms between looks at what others did
const MOST_MENDS = 6;
const MOST_LOST = 20; // saves in a row whose answers were lost, of which the states are kept
const PAUSE = 300_000; // ms: longer than that nobody is on the line
const waiting = new Map(); // id of a call -> {timer, since, busy, tries}

const isOpen = (id) => id === desk.call.id;
const called = (id) => (isOpen(id) ? desk.call : store.kept(id));
const isSent = (call) => call.kept && !call.kept.sending.length && stable(stateOf(call)) === stable(call.kept.base) && !Object.keys(call.kept.clashes).length;

const isDone = (call) => call.kept && (call.kept.gone || isSent(call));

export function say(words, trouble = false) {
  $("#kept").textContent = words;
  $("#kept").classList.toggle("d-rusty", trouble);
}

// --- saving

on("keep", () => {
  const { call } = desk;
  if (isEmpty(call) && !call.kept) return;
  if (call.touched) call.spent += Math.min(Date.now() - call.touched, PAUSE);
  call.touched = Date.now();
  if (!isSent(call)) soon(call.id);
});

function soon(id, rest = REST) {
  const state = waiting.get(id) || { timer: 0, since: 0, busy: false, tries: 0 };
  waiting.set(id, state);
  state.since ||= performance.now();
  clearTimeout(state.timer);
  const left = Math.max(0, LONGEST - (performance.now() - state.since));
  state.timer = setTimeout(() => send(id), Math.min(rest, Math.max(left, state.tries ? rest : 0)));
}

function bodyOf(call) {
  const state = stateOf(call);
  // Where both told another thing and nobody has chosen yet, theirs stands on the desk and mine here.
  for (const [path, { theirs }] of Object.entries(call.kept.clashes)) withValue(state, path, theirs);
  const shown = { ...call };
  intoCall(shown, state);
  shown.said = shown.words; // also what nobody could listen to yet
  const made = caseOf(shown);
  if (isOpen(call.id)) for (const path of refusals.keys()) put(made, path, null);
  return {
    seen: call.kept.version,
    case: made,
    person: shown.person,
    begun: `${new Date(call.begun).toISOString().slice(0, 19)}Z`,
    asked: call.asked.flatMap((each) => each.split("+")),
    questions: call.asked.filter((each) => !desk.shown.look.includes(each.split("+")[0])).length,
    minutes: Math.round(call.spent / 6000) / 10,
    "ring-back": shown.ringBack,
    sheet: sheetOf(state),
  };
}

// The mark of a save; by it one is known again of which the answer was lost, and several may be.
function onItsWay(call, state) {
  const { sending } = call.kept;
  if (!sending.length || stable(sending.at(-1).state) !== stable(state)) {
    sending.push({ mark: crypto.getRandomValues(new Uint32Array(2)).join("-"), state });
    sending.splice(0, sending.length - MOST_LOST);
  }
  return sending.at(-1).mark;
}

async function send(id) {
  const state = waiting.get(id) || { busy: false, tries: 0 };
  waiting.set(id, state);
  clearTimeout(state.timer);
  if (state.busy) { soon(id); return; }
  const call = called(id);
  if (!call || (call.kept && (call.kept.gone || call.kept.closed))) return;
  call.kept ||= { version: 0, number: 0, base: stateOf(newCall("metric")), sending: [], clashes: {}, closed: false };
  if (isSent(call)) return;
  state.busy = true;
  state.since = 0;
  try {
    await sendState(call);
    state.tries = 0;
    if (isOpen(id)) say(call.kept.closed ? `closed, call ${call.kept.number}` : `kept as call ${call.kept.number}`);
  } catch (trouble) {
    failed(call, state, trouble);
  } finally {
    state.busy = false;
    store.keep(call);
    tell("sent", call);
  }
  if (!call.kept.gone && !call.kept.closed && !state.tries && !isSent(call) && !onlyClashes(call)) soon(id);
}

const onlyClashes = (call) => {
  const state = stateOf(call);
  for (const [path, { theirs }] of Object.entries(call.kept.clashes)) withValue(state, path, theirs);
  return stable(state) === stable(call.kept.base);
};

async function sendState(call) {
  const mine = stateOf(call);
  for (const [path, { theirs }] of Object.entries(call.kept.clashes)) withValue(mine, path, theirs);
  const body = bodyOf(call);
  body.sheet.mark = onItsWay(call, mine);
  store.keep(call); // so that it is known which saves were on their way if this page ends now
  for (let mends = 0; ; mends += 1) {
    try {
      const answer = await asked("PUT", `/calls/${call.id}`, body);
      call.kept.sending = [];
      settled(call, answer, mine);
      return;
    } catch (trouble) {
      const { status, problem } = trouble;
      if (status === 409 && problem.call) { late(call, problem); return; }
      if (status !== 422 || !(problem.errors || []).length || mends === MOST_MENDS) throw trouble;
      for (const error of problem.errors) put(body.case, error.field.split(".").slice(0, 3).join("."), null);
    }
  }
}

// The desk knows the caller from before: what it says of him stands where nothing else was typed meanwhile.
function settled(call, answer, mine) {
  Object.assign(call.kept, { version: answer.version, number: answer.number, base: mine, closed: !answer["is-open"] });
  const person = answer.person || { name: "", phone: "", address: "" };
  for (const key of ["name", "phone", "address"]) {
    if (person[key] !== mine[key] && call.person[key] === mine[key] && document.activeElement !== FIELDS[key]) call.person[key] = person[key];
    call.kept.base[key] = person[key];
  }
  if (isOpen(call.id)) { fillWho(); tell("answered", answer); }
}

// Somebody was quicker: his is taken in, mine is put beside it, and sent anew.
function late(call, problem) {
  const { sending } = call.kept;
  const theirs = stateIn(problem.call);
  call.kept.sending = [];
  const mine = sending.find((each) => problem.call.sheet && problem.call.sheet.mark === each.mark);
  takeIn(call, mine ? mine.state : call.kept.base, theirs, problem.call, mine ? "" : whoOf(problem.changes));
}

const whoOf = (changes) => [...new Set((changes || []).map((each) => each.who))].join(", ");

function takeIn(call, base, theirs, answer, who) {
  const { state, taken, clashes } = merged(base, stateOf(call), theirs);
  const wordsBefore = call.words;
  intoCall(call, state);
  const stands = Object.fromEntries(Object.entries(call.kept.clashes).filter(([path]) => !taken.includes(path)));
  Object.assign(call.kept, { version: answer.version, number: answer.number, base: theirs, closed: !answer["is-open"], clashes: { ...stands, ...clashes } });
  for (const clash of Object.values(clashes)) clash.who = who;
  if (!isOpen(call.id)) return;
  if (taken.length || Object.keys(clashes).length) {
    if (call.words !== wordsBefore) withCaret($("#caller"), call.words, fillWords);
    fillWho();
    tell("filled");
    act();
  }
  tell("answered", answer);
  tell("met", who, taken.filter((path) => !/^(heard|said|times|record|dropped|asked|order)\b/.test(path)));
}

function failed(call, state, trouble) {
  const { status, problem } = trouble;
  if (status === 404) {
    call.kept.gone = true;
    if (isOpen(call.id)) say("not on the desk any more: it was forgotten", true);
    return;
  }
  if (status === 409) {
    call.kept.closed = true;
    if (isOpen(call.id)) { say("closed meanwhile: what you typed since is kept in this browser; reopen it to keep it", true); tell("closed"); }
    return;
  }
  if (isOpen(call.id)) say(status && status < 500 ? `not kept: ${problem.detail || problem.title}` : "not sent yet: kept in this browser, sent when the line is back", true);
  if (status && status < 500) return;
  soon(call.id, AGAIN[Math.min(state.tries, AGAIN.length - 1)]);
  state.tries += 1;
}

addEventListener("online", () => { for (const id of waiting.keys()) soon(id, 0); });
addEventListener("pagehide", () => {
  const { call } = desk;
  if (!call.kept || isSent(call) || call.kept.closed || call.kept.gone) return;
  // The page ends: what is not on its way goes now. If it does not arrive, it is in this browser and goes next time.
  const body = bodyOf(call);
  body.sheet.mark = onItsWay(call, stateOf(call));
  store.keep(call);
  sent("PUT", `/calls/${call.id}`, body, { keepalive: true }).catch(() => {});
});

// Resolves once all that was told of the open call is on the desk; false where that cannot be now.
export async function flushed() {
  for (let tries = 0; tries < 40; tries += 1) {
    const { call } = desk;
    const state = waiting.get(call.id);
    if (isEmpty(call) && !call.kept) return true;
    if (call.kept && (isSent(call) || onlyClashes(call)) && !(state && state.busy)) return true;
    if (!(state && state.busy)) {
      await send(call.id);
      if (waiting.get(call.id).tries) return false;
    } else await new Promise((done) => setTimeout(done, 50));
  }
  return false;
}

// --- opening

function stateIn(answer) {
  const call = newCall("metric");
  if (answer.sheet && answer.sheet.facts) intoCall(call, { ...stateOf(call), ...Object.fromEntries(Object.entries(answer.sheet).filter(([key]) => key in sheetOf(stateOf(call)))) });
  else Object.assign(call, callOf(answer.case, answer.case.units || "metric"), { notes: (answer.sheet || {}).notes || "" });
  call.person = { name: "", phone: "", address: "", ...(answer.person || {}) };
  call.ringBack = answer["ring-back"];
  return stateOf(call);
}

function adopted(answer) {
  const call = newCall("metric");
  const base = stateIn(answer);
  intoCall(call, base);
  Object.assign(call, { id: answer.uid, begun: answer.taken, spent: answer.minutes * 60_000, desk: true });
  call.kept = { version: answer.version, number: answer.number, base, sending: [], clashes: {}, closed: !answer["is-open"] };
  return call;
}

// Opens a call of the desk; what was not sent of it from here is put beside it.
export async function open(id) {
  if (isOpen(id) && desk.call.kept) return;
  const local = store.kept(id);
  let answer;
  try {
    answer = await asked("GET", `/calls/${id}`);
  } catch (trouble) {
    if (local) { tell("loaded", local); return; }
    say(trouble.status === 404 ? "that call is not on the desk" : "no line: that call cannot be opened now", true);
    return;
  }
  const call = local && local.kept && !isSent(local) ? local : adopted(answer);
  tell("loaded", call);
  if (call === local) takeIn(call, local.kept.base, stateIn(answer), answer, "");
  else tell("answered", answer);
  say(call.kept.closed ? `closed, call ${call.kept.number}` : `kept as call ${call.kept.number}`);
  tidy();
}

// What the desk has and nobody looks at is not left in a browser.
function tidy() {
  for (const { call, forget } of store.ofOthers()) if (!call || isDone(call)) forget();
  for (const line of store.calls()) {
    const call = store.kept(line.id);
    if (call && call.desk && !isOpen(line.id) && isDone(call)) store.forget(line.id);
  }
}

// How many calls each of the others who worked in this browser could not send; they go when he is back.
export function leftByOthers() {
  const left = {};
  for (const { agent, call } of store.ofOthers()) if (call && !isEmpty(call) && !isDone(call)) left[agent] = (left[agent] || 0) + 1;
  return left;
}

on("sent", tidy);
on("opened", tidy);

// Others work on the same calls: what they did to the open one is taken in while nothing of mine is on its way.
export async function look(lines) {
  const { call } = desk;
  const line = lines.find((each) => each.uid === call.id);
  if (!line || !call.kept || call.kept.gone || line.version <= call.kept.version) return;
  if (waiting.get(call.id)?.busy) return;
  const answer = await asked("GET", `/calls/${call.id}`);
  if (!isOpen(answer.uid) || answer.version <= call.kept.version || waiting.get(call.id)?.busy) return;
  takeIn(call, call.kept.base, stateIn(answer), answer, answer["changed-by"]);
  if (call.kept.closed) tell("closed");
}
setInterval(() => { if (!document.hidden) tell("poll"); }, LOOK);

// Two told different things: one of both is taken, or both are noted.
export function chosen(path, choice, words) {
  const { call } = desk;
  const clash = call.kept && call.kept.clashes[path];
  if (!clash) return;
  delete call.kept.clashes[path];
  if (choice !== "mine") intoCall(call, withValue(stateOf(call), path, clash.theirs));
  if (choice === "both") call.notes = call.notes ? `${call.notes}\n${words}` : words;
  fillWho();
  tell("filled");
  act();
  tell("met", "", []);
  soon(call.id);
}

// What a browser could not send before it was closed is sent now.
export function sendLeft() {
  for (const line of store.calls()) {
    const call = store.kept(line.id);
    if (call && call.desk && !isOpen(line.id) && !isEmpty(call) && !(call.kept && isSent(call))) soon(line.id, 0);
  }
  tidy();
}
