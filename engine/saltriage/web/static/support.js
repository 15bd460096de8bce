// The support desk. The call lives here, in the page and in this browser; the server makes panels of it, and keeps it
// where the page was served by a kept desk (desk-kept.js).

import * as store from "./desk-store.js";
import { answer, at, clock, isEmpty, newCall, put, remember } from "./desk-call.js";
import { $, all, desk, isField, keepNow, keepSoon, make, on, tell } from "./desk-page.js";
import { act, refusals } from "./desk-panels.js";
import { focusCard, key, last, undo } from "./desk-card.js";
import { fillAll, refusedSigns, takeDrafts } from "./desk-readings.js";
import { fillWords, heardWords } from "./desk-words.js";
import * as more from "./desk-more.js";
import "./desk-told.js";

const title = $("#case-title");
const notes = $("#notes");
const LONG = 7_200_000; // ms
const isKept = "agent" in document.body.dataset; // whether calls are kept on the desk of the server

// --- calls

const fresh = () => Object.assign(newCall(store.choices().units), { desk: isKept });
const nameOf = (call) => (isKept ? call.person.name : call.facts.title) || "";

function openCall(call, { push = true } = {}) {
  keepNow();
  desk.call = call;
  desk.shown = { ...desk.shown, chances: {}, takesBack: [], danger: call.times.danger ? "life" : "open" };
  refusals.clear();
  refusedSigns();
  title.value = nameOf(call);
  notes.value = call.notes;
  const { before } = call;
  fillWords();
  fillAll();
  last();
  takeDrafts();
  act();
  desk.call.before = before;
  if (push && location.hash !== `#${call.id}`) history.pushState(null, "", `#${call.id}`);
  drawHead();
  drawCalls();
  tell("opened", call);
}

function newOne() {
  if (isEmpty(desk.call)) { $("#caller").focus(); return; }
  openCall(fresh());
  $("#caller").focus();
}

on("keep", () => {
  if (isEmpty(desk.call) && !store.kept(desk.call.id)) return;
  const kept = store.keep(desk.call);
  if (!isKept || !kept) $("#kept").textContent = kept ? "kept" : "not kept: this browser is full";
  drawCalls();
});

addEventListener("pagehide", keepNow);
document.addEventListener("visibilitychange", () => { if (document.hidden) keepNow(); });

// Another window wrote: its calls stand in the list, and the same call is taken over unless it is worked on here.
store.whenKept((changed) => {
  drawCalls();
  if (changed !== store.keyOf(desk.call.id) || document.hasFocus()) return;
  const call = store.kept(desk.call.id);
  if (call) openCall(call, { push: false });
});

addEventListener("popstate", () => {
  const id = location.hash.slice(1);
  const call = store.kept(id);
  if (call && call.id !== desk.call.id) openCall(call, { push: false });
  else if (!call && isKept) tell("away", id);
});

function when(begun) {
  const date = new Date(begun);
  const today = new Date().toDateString() === date.toDateString();
  return today ? clock(date) : `${date.getDate()} ${date.toLocaleString("en", { month: "short" })}`;
}

function callLine(line) {
  const grave = ["life", "harm"].includes(line.danger);
  const outcome = grave ? `danger, ${line.ended ? "ended" : "open"}` : line.outcome || "nothing told yet";
  const button = make("button", { type: "button", className: "d-call-line" },
    make("span", { className: "d-when", textContent: when(line.begun) }),
    make("b", { textContent: line.name || "no name yet" }),
    make("span", { className: grave ? "d-danger-text" : "d-soft", textContent: outcome }));
  if (line.id === desk.call.id) button.setAttribute("aria-current", "true");
  button.addEventListener("click", () => {
    const call = store.kept(line.id);
    if (call && call.id !== desk.call.id) openCall(call);
    all("dialog[open]").forEach((each) => each.close());
  });
  return button;
}

function drawCalls() {
  if (isKept) { tell("rail"); return; }
  const list = store.calls();
  const focused = $("#calls").contains(document.activeElement);
  $("#calls-number").textContent = String(list.length);
  $("#calls").replaceChildren(...list.map((line) => make("li", {}, callLine(line))));
  if (focused) ($('#calls [aria-current="true"]') || $(".d-new")).focus();
}

function drawAll() {
  if (isKept) { tell("find"); return; }
  const words = $("#calls-search").value.toLowerCase().split(/\s+/).filter(Boolean);
  const fits = (line) => {
    const call = store.kept(line.id) || { words: "", notes: "" };
    const text = `${line.name} ${line.outcome} ${call.words} ${call.notes}`.toLowerCase();
    return words.every((word) => text.includes(word));
  };
  const lines = store.calls().filter(fits).map((line) => {
    const away = make("button", { type: "button", className: "d-quiet", ariaLabel: `Delete the call ${line.name || when(line.begun)}` }, "delete");
    away.addEventListener("click", () => {
      if (away.textContent === "delete") { away.textContent = "really delete"; return; }
      store.forget(line.id);
      if (line.id === desk.call.id) openCall(fresh());
      drawAll();
      drawCalls();
    });
    return make("li", { className: "d-call-row" }, callLine(line), away);
  });
  $("#all-calls").replaceChildren(...(lines.length ? lines : [make("li", { className: "d-soft", textContent: "No call is like that." })]));
}
if (!isKept) $("#calls-search").addEventListener("input", drawAll);

on("loaded", (call) => openCall(Object.assign(call, { desk: isKept })));
on("trouble", (words) => {
  $("#line").hidden = false;
  $("#line").textContent = words;
  all("dialog[open]").forEach((each) => each.close());
});

// --- the head of the call

function drawHead() {
  const { begun, ended } = desk.call;
  // A call that is gone back to another time counts what was talked, not what went by.
  const span = (ended ? new Date(ended) : new Date()) - new Date(begun);
  const minutes = Math.max(0, Math.round((isKept && span > LONG ? desk.call.spent : span) / 60000));
  $("#begun").textContent = `${when(begun)}, ${ended ? `ended after ${minutes} min` : `${minutes} min`}`;
  const closed = isKept ? desk.call.kept && desk.call.kept.closed : ended;
  $("#end").textContent = closed ? "Reopen" : ended ? "What came of it" : "End call";
  document.title = `${nameOf(desk.call) || "Support desk"} · Saltriage`;
}
setInterval(drawHead, 20_000);

title.addEventListener("input", () => {
  if (isKept) desk.call.person.name = title.value.trim();
  else put(desk.call.facts, "title", title.value.trim());
  drawHead();
  keepSoon();
});
notes.addEventListener("input", () => {
  desk.call.notes = notes.value;
  keepSoon();
});

on("ended", async () => {
  const { call } = desk;
  drawHead();
  if (call.ended) call.record ||= await more.openRecord(call);
  keepNow();
});
on("closed", drawHead);
on("named", drawHead);

async function end() {
  const { call } = desk;
  if (isKept) { tell(call.kept && call.kept.closed ? "reopen" : "close"); return; }
  if (call.ended) call.ended = "";
  else {
    call.ended = new Date().toISOString();
    call.record ||= await more.openRecord(call);
  }
  drawHead();
  keepNow();
}

// --- dangers

function askDanger() {
  remember(desk.call);
  for (const row of desk.shown.look) {
    delete desk.call.answers[row];
    desk.call.order = desk.call.order.filter((each) => each !== row);
  }
  desk.call.asked = desk.call.asked.filter((asked) => !asked.split("+").some((id) => desk.shown.look.includes(id)));
  delete desk.call.times.look;
  desk.call.last = "danger look: asked again";
  focusCard();
  act();
}

function takeBackDanger() {
  remember(desk.call);
  for (const id of desk.shown.takesBack) answer(desk.call, id, "no", "misheard");
  desk.call.last = "danger taken back: misheard";
  last();
  act();
}

// A danger that is told because it was heard says the words.
on("shown", () => {
  const place = $("#danger [data-words]");
  if (!place) return;
  const words = heardWords(desk.shown.takesBack);
  place.textContent = words ? `, “${words}”` : "";
  if (words) $("#danger [data-told]").textContent = "Heard";
});

on("head", (words) => { $("#h-ask").textContent = words; });
on("added", last);
on("told", last);
on("settled", () => { delete $("#ask").dataset.waiting; });

// --- keys

const places = {
  Digit1: ["the caller’s words", () => $("#caller").focus()],
  Digit2: ["the question: keys on", focusCard],
  Digit3: ["the readings", () => $("#numbers .d-value").focus()],
  Digit4: ["add an answer", () => $("#add").focus()],
  Digit5: ["notes", () => notes.focus()],
  Digit6: [isKept ? "the caller’s name" : "name of the case", () => title.focus()],
};
const doings = {
  c: ["new call; this one is kept", newOne],
  z: ["undo the last answer", undo],
  r: ["to the readings", places.Digit3[1]],
  s: ["to the search", places.Digit4[1]],
  t: ["to what was told", () => ($("#told button") || $("#add")).focus()],
  d: ["ask the danger look again", askDanger],
  x: ["danger misheard: take it back", () => { if (desk.shown.takesBack.length) takeBackDanger(); }],
  l: ["show where to look", () => { const fold = $("#ask details"); if (fold) fold.open = !fold.open; }],
  m: ["more: water, plan, follow-up, history, summary, case file", () => more.open()],
  h: ["hand over", () => more.open("hand-over")],
  p: ["page to print", more.print],
  e: ["end the call, or reopen it", end],
  a: [isKept ? "find a call: name, number, address, words, cause" : "all calls", () => { drawAll(); if (!$("#all").open) $("#all").showModal(); }],
};
const help = () => $("#help").showModal();
for (const [name, [, then]] of Object.entries(doings)) key(name, then);

const buttons = {
  new: newOne, undo, end, more: () => more.open(), "hand-over": doings.h[1], print: more.print, calls: doings.a[1], help,
  "ask-danger": askDanger, "take-back-danger": takeBackDanger,
};
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-do]");
  if (!button) return;
  if (button.dataset.do === "close") button.closest("dialog").close();
  else buttons[button.dataset.do]();
});

document.addEventListener("keydown", (event) => {
  if (event.isComposing || $("dialog[open]")) return;
  if (event.altKey && !event.ctrlKey && !event.metaKey && places[event.code]) {
    event.preventDefault();
    places[event.code][1]();
    return;
  }
  if (event.altKey || event.metaKey) return;
  if (event.target.id === "caller" && event.ctrlKey && event.key === "Enter") { event.preventDefault(); focusCard(); return; }
  if (event.ctrlKey || event.defaultPrevented) return;
  if (event.key === "Escape") {
    event.preventDefault();
    if ($("#ask").contains(event.target)) $("#caller").focus();
    else focusCard();
  } else if (isField(event.target) || store.choices().keysOff) return;
  else if (event.key === "/") { event.preventDefault(); $("#caller").focus(); }
  else if (event.key === "?") { event.preventDefault(); help(); }
});

const KEYS = [
  ["Y  N  U", "yes, no, cannot tell; in a list: none of these, cannot tell"],
  ["1 … 7", "tick a line of a list; Enter takes what is ticked"],
  ["0 … 9", "begins the number that is asked; Enter takes it"],
  ...Object.entries(doings).map(([name, [words]]) => [name.toUpperCase(), words]),
  ["/", "to the caller’s words"],
  ["?", "these keys"],
  ["Esc", "from a field to the question, and back to the words"],
  ["Ctrl+Enter", "from the words to the question"],
  ["Alt+Y  Alt+N", "take or drop the first line that was likely heard"],
  ...Object.entries(places).map(([code, [words]]) => [`Alt+${code.slice(-1)}`, words]),
  ["Enter", "in the readings: next value; in the search: yes (Shift+Enter: no)"],
];
const addKeys = (lines) => $("#keys").append(...lines.map(([name, words]) => make("div", {}, make("dt", {}, make("kbd", { className: "d-key", textContent: name })), make("dd", { textContent: words }))));
addKeys(KEYS);

const keysOff = $("#keys-off");
keysOff.checked = store.choices().keysOff;
keysOff.addEventListener("change", () => {
  store.choose({ keysOff: keysOff.checked });
  drawKeys();
});

function drawKeys() {
  const inside = $("#ask").contains(document.activeElement) && !isField(document.activeElement);
  $("#ask").classList.toggle("d-keys-on", inside && !store.choices().keysOff);
  $("#keys-state").textContent = store.choices().keysOff ? "single keys are off" : inside ? "keys on, Esc off" : "Esc: keys on";
}
document.addEventListener("focusin", drawKeys);
document.addEventListener("focusout", () => setTimeout(drawKeys));

// --- begin: the call of the address, else a new one

const wanted = location.hash.slice(1);
const begun = store.kept(wanted) || fresh();
if (!isKept || begun.id === wanted || !wanted) history.replaceState(null, "", `#${begun.id}`);
openCall(begun, { push: false });
drawKeys();

if (isKept) (await import("./desk-begin.js")).begin(wanted, places, addKeys);
