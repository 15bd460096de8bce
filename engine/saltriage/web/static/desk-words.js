// The caller's words: heard while they are typed, marked in the text, taken into the case, asked back where unsure.

import { answer, at, caseOf, hear, put, remember, signOf } from "./desk-call.js";
import { $, desk, keepSoon, make, on, post, tell } from "./desk-page.js";
import { act, follow } from "./desk-panels.js";

const field = $("#caller");
const marks = $("#marks");
const REST = 350; // ms without a key: then all is listened to, else only whole words
const LONGEST = 900; // ms that listening waits while keys follow each other
const MOST_ROWS = 3;
const DEAD = 400; // ms in which a row that has just come up takes no key
const second = field.dataset.second; // host of another reader, which gets finished words alone
let timer = 0;
let secondHas = ""; // the words that it was asked about last
let waitingSince = 0;
let number = 0;
let heard = null; // the last answer, and the text it is about
let rows = []; // what is asked back, first row first
let rowsAt = 0;

field.addEventListener("input", () => {
  desk.call.words = field.value;
  document.body.dataset.listening = "yes";
  keepSoon();
  drawMarks();
  const now = performance.now();
  waitingSince ||= now;
  clearTimeout(timer);
  if (now - waitingSince >= LONGEST) listen(wholeWords(field.value));
  else timer = setTimeout(() => listen(field.value), REST);
});
field.addEventListener("scroll", () => { marks.scrollTop = field.scrollTop; });
field.addEventListener("blur", async () => {
  if (timer) await listen(field.value);
  if (second && secondHas !== field.value) listenAgain();
});

// Half a word, or half a number, is another one.
const wholeWords = (text) => text.replace(/\S+$/, "");

async function listen(text) {
  clearTimeout(timer);
  timer = 0;
  waitingSince = text === field.value ? 0 : performance.now();
  if (text !== field.value) timer = setTimeout(() => listen(field.value), REST);
  const mine = (number += 1);
  const of = desk.call.id;
  if (!text.trim()) {
    heard = null;
    taken("", { symptoms: [], likely: [], unheard: [], readings: [], dangers: [] });
    return;
  }
  try {
    const found = await (await post("/api/v1/words", { text, units: desk.call.units })).json();
    if (mine === number && of === desk.call.id) taken(text, found);
  } catch {
    // The words are kept; what they mean is asked again when the line is back.
    if (mine === number) timer = setTimeout(() => listen(field.value), 3000);
  }
}

// What is said here was heard already: nobody waits for the other reader, least of all a danger.
async function listenAgain() {
  const text = field.value;
  const mine = number;
  const of = desk.call.id;
  secondHas = text;
  if (!text.trim()) return;
  const state = $("#second-state");
  state.textContent = " Asking…";
  let told = "";
  try {
    const found = await (await post("/api/v1/words", { text, units: desk.call.units, finished: true })).json();
    if (mine === number && of === desk.call.id && text === field.value) taken(text, found);
    if (!found["second-reader"]?.answered) told = " No answer: heard here alone.";
  } catch {
    secondHas = "";
    told = " No answer: heard here alone.";
  }
  if (of === desk.call.id) state.textContent = told;
}

// Opens a call: its words in the field, and what was heard in them again.
export function fillWords() {
  clearTimeout(timer);
  number += 1;
  waitingSince = 0;
  heard = null;
  rows = [];
  delete document.body.dataset.listening;
  field.value = desk.call.words;
  drawMarks();
  drawRows();
  $("#unheard").hidden = true;
  secondHas = "";
  if (second) $("#second-state").textContent = "";
  if (desk.call.words.trim()) listen(desk.call.words);
}

// Python counts letters, a script counts halves of the rarer ones.
function inText(text, spans) {
  const places = [0];
  for (const letter of text) places.push(places.at(-1) + letter.length);
  return spans.map((each) => ({ ...each, start: places[each.start] ?? text.length, end: places[each.end] ?? text.length }));
}

function taken(text, found) {
  for (const kind of ["symptoms", "likely", "unheard", "readings", "dangers"]) found[kind] = inText(text, found[kind]);
  heard = { text, ...found };
  const symptoms = {};
  for (const each of found.symptoms) {
    if (!each.hedged && desk.symptoms[each.id]) symptoms[each.id] = each.present ? "yes" : "no";
  }
  const readings = {};
  for (const each of found.readings) {
    if (each.entry && !each.hedged) readings[desk.paths[each.id]] = fitting(each.entry, desk.paths[each.id]);
  }
  if (text === field.value) delete document.body.dataset.listening;
  // What is only likely is no answer, but a hint to the ranking; never a sure one.
  const hints = {};
  for (const each of found.likely) {
    if (desk.symptoms[each.id] && each.reliability > 0 && each.reliability < 1) hints[each.id] = each.present ? each.reliability : 1 - each.reliability;
  }
  const saidBefore = desk.call.said;
  desk.call.said = text;
  const changed = hear(desk.call, symptoms, readings, hints);
  if (changed) desk.call.before = desk.shown.chances;
  drawMarks();
  drawUnheard();
  findRows();
  if (changed || saidBefore !== text) follow();
}

const fitting = (entry, path) => (path.startsWith("readings.") ? entry : `${signOf(entry)}${entry.value} ${entry.unit || ""}`.trim());

// --- marks in the text

const KINDS = ["", "unheard", "maybe", "heard", "danger"];

function drawMarks() {
  const text = field.value;
  const known = heard && text.startsWith(heard.text) ? heard : null;
  const levels = new Uint8Array(text.length);
  const paint = (spans, level) => {
    for (const { start, end } of spans) for (let place = start; place < end; place += 1) levels[place] = Math.max(levels[place], level);
  };
  if (known) {
    const dangerous = new Set(desk.shown.takesBack);
    const stands = desk.shown.stops.length > 0; // else it was taken back, and the words are words
    paint(known.unheard, 1);
    paint(known.likely.filter((each) => !at(toldBefore(), each.id)), 2);
    paint([...known.symptoms, ...known.readings], 3);
    paint([...known.dangers.filter((each) => each.sureness === "sure" && stands), ...known.symptoms.filter((each) => dangerous.has(each.id))], 4);
  }
  $("#dangerous").hidden = !levels.includes(4);
  marks.replaceChildren();
  for (let place = 0; place < text.length; ) {
    let end = place + 1;
    while (end < text.length && levels[end] === levels[place]) end += 1;
    const words = text.slice(place, end);
    if (levels[place]) marks.append(make("mark", { className: `d-mark-${KINDS[levels[place]]}`, textContent: words }));
    else marks.append(words);
    place = end;
  }
  marks.append("\n"); // a last empty line takes room in the field, so it has to here
  marks.scrollTop = field.scrollTop;
}

// The words in which one of these symptoms was heard; '' where none was.
export function heardWords(ids) {
  const found = heard && heard.symptoms.find((each) => ids.includes(each.id) && !desk.call.answers[each.id]);
  return found ? found.words : "";
}

const toldBefore = () => desk.call.answers;

function drawUnheard() {
  const line = $("#unheard");
  const words = heard.unheard.map((each) => each.words.trim().replace(/[.,;!?]$/, ""));
  // What is still being typed is not called 'not understood'.
  const whole = field.value === heard.text ? words : words.filter((each) => !heard.text.trimEnd().endsWith(each));
  line.hidden = !whole.length;
  line.textContent = whole.length
    ? `Not understood: ${whole.slice(-2).map((each) => `“${each}”`).join(", ")}${whole.length > 2 ? ` and ${whole.length - 2} more` : ""}. Ask to say it anew.`
    : "";
}

// --- what is only likely: one row each, one key or one tap

function findRows() {
  const { call } = desk;
  const data = caseOf(call);
  const found = [];
  for (const each of heard ? heard.readings : []) {
    const path = desk.paths[each.id];
    const now = at(data, path);
    if (call.dropped[path] || (now !== undefined && sameNumber(now, each))) continue;
    const title = `${signOf(each)}${each.number}${each.unit ? ` ${each.unit}` : ""}: ${desk.readings[each.id]}`;
    if (!each.entry) found.push({ key: path, title, units: each["may-be"].map((unit) => [unit, () => takeNumber(each, unit)]) });
    else if (now === undefined || each.hedged || at(call.facts, path) !== undefined) found.push({ key: path, title, units: [["take", () => takeNumber(each, each.unit)]] });
  }
  const asked = [...(heard ? heard.likely : []), ...(heard ? heard.symptoms.filter((each) => each.hedged) : [])];
  for (const each of asked) {
    if (!desk.symptoms[each.id] || call.answers[each.id] || call.heard.symptoms[each.id] || call.dropped[each.id]) continue;
    if (found.some((row) => row.key === each.id)) continue;
    found.push({ key: each.id, title: `${each.present ? "" : "Not: "}${each.title}`, words: each.words, present: each.present });
  }
  const before = rows[0] && rows[0].key;
  rows = found;
  if ((rows[0] && rows[0].key) !== before) rowsAt = performance.now();
  drawRows();
}

function sameNumber(entry, each) {
  const written = entry && typeof entry === "object" ? `${signOf(entry)}${entry.value}` : String(entry).split(" ")[0];
  const sign = signOf(each);
  return written.startsWith(sign) && Number(written.slice(sign.length)) === each.number;
}

function takeNumber(each, unit) {
  const path = desk.paths[each.id];
  const entry = { value: each.number, ...(unit ? { unit } : {}), ...(each.method ? { method: each.method } : {}), ...(each.bound ? { bound: each.bound } : {}) };
  put(desk.call.facts, path, fitting(entry, path));
  tell("mended", path);
  desk.call.last = `${desk.readings[each.id]} ${signOf(each)}${each.number} ${unit}, heard`;
}

function settle(row, choice) {
  remember(desk.call);
  if (choice === "drop") {
    if (row.units) desk.call.dropped[row.key] = true;
    else answerRow(row, row.present ? "no" : "yes");
  } else if (row.units) row.units[choice][1]();
  else answerRow(row, row.present ? "yes" : "no");
  act();
  tell("filled");
  findRows();
}

function answerRow(row, said) {
  answer(desk.call, row.key, said, "heard");
  desk.call.last = `${desk.symptoms[row.key]}: ${said}, heard`;
}

function drawRows() {
  const list = $("#likely");
  const sign = (unit) => ({ degC: "°C", degF: "°F", m3: "m³" })[unit] || unit;
  const hadFocus = list.contains(document.activeElement);
  const lines = rows.slice(0, MOST_ROWS).map((row) => {
    const label = make("span", { textContent: row.title, title: row.words ? `from “${row.words}”` : "" });
    const named = (words, choice) => {
      const button = make("button", { type: "button", className: "d-quiet" }, words, make("span", { className: "d-hush", textContent: `: ${row.title}` }));
      button.addEventListener("click", () => settle(row, choice));
      return button;
    };
    const yes = row.units ? row.units.slice(0, 2).map(([unit], which) => named(sign(unit), which)) : [named("yes", 0)];
    return make("li", {}, make("b", { textContent: "?", ariaHidden: "true" }), label, ...yes, named("no", "drop"));
  });
  if (rows.length) {
    const cap = (name) => make("kbd", { className: "d-key", textContent: `Alt ${name}` });
    const more = rows.length > MOST_ROWS ? `; ${rows.length - MOST_ROWS} more, less likely` : "";
    lines.push(make("li", { className: "d-soft" }, make("span", {}, "the first: ", cap("Y"), ` ${rows[0].units ? sign(rows[0].units[0][0]) : "yes"} `, cap("N"), ` no${more}`)));
  }
  list.replaceChildren(...lines);
  if (hadFocus) ($("button", list) || field).focus();
}

document.addEventListener("keydown", (event) => {
  if (!event.altKey || event.ctrlKey || event.metaKey || event.repeat || !["KeyY", "KeyN"].includes(event.code)) return;
  event.preventDefault();
  if (!rows.length || performance.now() - rowsAt < DEAD) return;
  settle(rows[0], event.code === "KeyY" ? 0 : "drop");
});

on("told", () => { if (heard) findRows(); });
on("shown", drawMarks);
