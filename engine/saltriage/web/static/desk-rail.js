// The rail of a kept desk: calls of today, open ones and those to follow up; finding calls; who calls and what was promised.

import * as store from "./desk-store.js";
import { clock, isEmpty, signOf } from "./desk-call.js";
import { $, all, desk, keepSoon, make, on, tell } from "./desk-page.js";
import { key } from "./desk-card.js";
import { flushed, leftByOthers, look, open, say } from "./desk-kept.js";
import { asked } from "./desk-line.js";
import { FIELDS, fillWho } from "./desk-who.js";

const LISTS = ["today", "open", "due"];
const EMPTY = { today: "No call today.", open: "Nothing is open.", due: "Nothing is due." };
const TALK = 7_200_000; // ms; as `saltriage.desk.saving` has it
const NUMBER = 7; // digits of a whole number, as the desk has it
let which = "today";
let lines = [];
let drawn = "";

// --- the lists

async function poll() {
  try {
    const [counts, found] = await Promise.all([asked("GET", ""), asked("GET", `/calls?which=${which}`)]);
    for (const list of LISTS) $(`[data-list="${list}"] b`).textContent = counts[list] > 199 ? "200+" : String(counts[list]);
    lines = found.calls;
    draw();
    await look(lines);
  } catch (trouble) {
    if (!trouble.status || trouble.status >= 500) draw(); // what this browser holds is shown all the same
  }
}
let again = 0;
const pollSoon = () => { clearTimeout(again); again = setTimeout(poll, 150); };
on("poll", poll);
on("sent", pollSoon);

function outcomeOf(line) {
  const grave = ["life", "harm"].includes(line.danger);
  if (grave) return [`danger, ${line["is-open"] ? "open" : "closed"}`, "d-danger-text"];
  if (!line["is-open"]) return [`closed: ${line.confirmed.length || line.cured.length ? line.short || "cured" : "not solved"}`, "d-soft"];
  if (line.promised) return [line.promised.map((each) => `${when(each.due)} ${each.title}`).join("; "), "d-rusty"];
  if (line["ring-back"]) return [`ring back ${when(line["ring-back"])}`, "d-soft"];
  return [line.short || "nothing told yet", "d-soft"];
}

export function when(moment) {
  const date = new Date(moment);
  const today = new Date().toDateString() === date.toDateString();
  return today ? clock(date) : `${date.getDate()} ${date.toLocaleString("en", { month: "short" })}`;
}

export function callLine(line) {
  const [words, kind] = outcomeOf(line);
  const button = make("button", { type: "button", className: "d-call-line" },
    make("span", { className: "d-when", textContent: when(line.taken) }),
    make("b", { textContent: line.name || line.phone || "no name yet" }),
    make("span", { className: kind, textContent: words, title: words }));
  if (line.uid === desk.call.id) button.setAttribute("aria-current", "true");
  button.addEventListener("click", () => {
    all("dialog[open]").forEach((each) => each.close());
    open(line.uid);
  });
  return button;
}

// Calls of this browser that the desk does not have yet stand first; nothing that was told is out of sight.
function unsent() {
  const known = new Set(lines.map((each) => each.uid));
  return store.calls().filter((each) => !known.has(each.id)).map((each) => store.kept(each.id))
    .filter((call) => call && call.desk && !isEmpty(call) && !(call.kept && (call.kept.number || call.kept.gone)))
    .map((call) => ({ uid: call.id, taken: call.begun, name: call.person.name, phone: call.person.phone, danger: call.danger, short: "not sent yet", "is-open": true, "ring-back": "", confirmed: [], cured: [] }));
}

function draw() {
  const all_ = [...(which === "due" ? [] : unsent()), ...lines];
  const left = Object.entries(leftByOthers()).map(([agent, count]) => `Not sent by ${agent}: ${count} ${count === 1 ? "call" : "calls"} in this browser.`);
  const said = JSON.stringify([which, desk.call.id, all_, left, new Date().getDate()]);
  if (said === drawn) return; // nothing moves under a pointer or the focus
  drawn = said;
  const list = $("#calls");
  const focused = all("button", list).indexOf(document.activeElement);
  const rows = all_.map((line) => make("li", {}, callLine(line)));
  const words = [...(rows.length ? [] : [EMPTY[which]]), ...left];
  list.replaceChildren(...rows, ...words.map((textContent) => make("li", { className: "d-soft d-none", textContent })));
  all("[data-list]").forEach((each) => each.setAttribute("aria-pressed", String(each.dataset.list === which)));
  if (focused >= 0) (all("button", list)[Math.min(focused, all("button", list).length - 1)] || $(".d-new")).focus();
}
on("rail", draw);

function show(list) {
  which = list;
  lines = [];
  poll();
}
all("[data-list]").forEach((each) => each.addEventListener("click", () => show(each.dataset.list)));

// The next that waits: what is due first, dangers before all, else the open call that has waited longest.
async function next() {
  const waits = (each) => !each.promised || each.promised.some(({ due: moment }) => new Date(moment) <= Date.now());
  for (const list of ["due", "open"]) {
    const found = (await asked("GET", `/calls?which=${list}`)).calls.find((each) => each.uid !== desk.call.id && waits(each));
    if (!found) continue;
    which = list;
    await open(found.uid);
    poll();
    $("#promised button, #ask", document)?.focus();
    return;
  }
  say("nothing waits");
}

// --- who calls

let looking = 0;
let number = 0;
function whoRings() {
  clearTimeout(looking);
  looking = setTimeout(async () => {
    const mine = (number += 1);
    const { id, person: { phone } } = desk.call;
    if (phone.replace(/\D/g, "").length < NUMBER) { before([], []); return; }
    try {
      const found = await asked("POST", "/search", { phone });
      if (mine === number && id === desk.call.id) before(found.calls.filter((each) => each.uid !== id), found.people);
    } catch { /* the number is kept; who it is comes with the next answer of the desk */ }
  }, 250);
}

let known = []; // people with this number
let earlier = [];
function before(calls, people) {
  earlier = calls;
  const others = people.filter((each) => each.name || each.address);
  const mine = desk.call.person;
  known = others.filter((each) => (!mine.name && each.name) || (!mine.address && each.address && each.name.toLowerCase() === mine.name.toLowerCase()));
  const place = $("#before");
  place.replaceChildren();
  if (!calls.length) { $("#before-status").textContent = ""; return; }
  const last = calls[0];
  const came = last["is-open"] ? "still open" : last.confirmed[0] || last.cured[0] || "not solved";
  const times = `Rang before, ${calls.length} ${calls.length === 1 ? "time" : "times"}`;
  $("#before-status").textContent = `${times}. Last ${when(last.taken)}: ${came}.`;
  const history = make("button", { type: "button", className: "d-link" }, `${times}; last ${when(last.taken)}: ${came}`);
  history.addEventListener("click", () => find("", earlier));
  place.append(history);
  known.slice(0, 2).forEach((person, at) => {
    const take = make("button", { type: "button", className: "d-quiet" }, at ? "" : make("kbd", { className: "d-key", textContent: "Enter", ariaHidden: "true" }), ` it is ${[person.name, person.address].filter(Boolean).join(", ")}`);
    take.addEventListener("click", () => itIs(person));
    place.append(take);
  });
}

function itIs(person) {
  for (const name of ["name", "address"]) if (!desk.call.person[name]) desk.call.person[name] = person[name];
  fillWho();
  known = [];
  keepSoon();
  tell("named");
  $("#caller").focus();
  whoRings();
}

FIELDS.phone.addEventListener("input", () => { desk.call.person.phone = FIELDS.phone.value.trim(); keepSoon(); whoRings(); });
FIELDS.address.addEventListener("input", () => { desk.call.person.address = FIELDS.address.value.trim(); keepSoon(); });
FIELDS.phone.addEventListener("keydown", (event) => {
  if (event.key !== "Enter") return;
  event.preventDefault();
  if (known.length) itIs(known[0]);
  else FIELDS.address.focus();
});
FIELDS.address.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); $("#caller").focus(); } });
for (const field of Object.values(FIELDS)) field.addEventListener("blur", fillWho);

const ring = $("#ring");
ring.addEventListener("input", () => {
  const date = ring.value ? new Date(ring.value) : null;
  desk.call.ringBack = date && !Number.isNaN(date.getTime()) ? `${date.toISOString().slice(0, 19)}Z` : "";
  keepSoon();
});

// --- what was promised of the open call, notes of others, what somebody else changed

on("answered", (answer) => {
  before(answer.earlier, [{ ...(answer.person || { name: "", address: "" }) }]);
  const tonight = new Date();
  tonight.setHours(23, 59, 59);
  // What was promised a moment ago is not asked in the same talk.
  const talking = Date.now() - new Date(answer.taken) < TALK && !desk.call.ended;
  const over = answer["is-open"] ? answer.due.filter((each) => !each.looked && new Date(each.due) <= (talking ? Date.now() : tonight)) : [];
  const rings = answer["is-open"] && answer["ring-back"] && new Date(answer["ring-back"]) <= tonight ? [{ title: "Ring back", due: answer["ring-back"], see: "" }] : [];
  const place = $("#promised");
  const html = JSON.stringify([over, rings, answer.notes]);
  if (place.dataset.was === html) return;
  place.dataset.was = html;
  place.replaceChildren();
  const told = [...rings, ...over].map((each) => `${each.title} (${when(each.due)})${each.see ? `: ${each.see.replace(/\.$/, "")}` : ""}`);
  if (told.length) {
    const tick = make("button", { type: "button" }, "Asked ", make("kbd", { className: "d-key", textContent: "V", ariaHidden: "true" }));
    tick.addEventListener("click", looked);
    place.append(make("p", {}, make("b", { textContent: "Due: " }), told.join("; ")), tick);
  }
  const notes = answer.notes.slice(-2).map((each) => `${each.by}, ${when(each.at)}: ${each.text}`);
  if (notes.length) place.append(make("p", { className: "d-soft", textContent: `Notes: ${notes.join("; ")}` }));
});

async function looked() {
  if (!$("#promised button") || !(await flushed())) return;
  const answer = await asked("POST", `/calls/${desk.call.id}/looked`, {});
  desk.call.ringBack = answer["ring-back"];
  if (desk.call.kept) Object.assign(desk.call.kept, { version: answer.version });
  if (desk.call.kept) desk.call.kept.base.ringBack = answer["ring-back"];
  fillWho();
  tell("answered", answer);
  say("asked, and ticked off");
  $("#ask").focus();
  pollSoon();
}

const TITLES = { name: "name", phone: "phone", address: "address", ringBack: "ring back", words: "the words", notes: "the notes", skipped: "not at hand" };
function titleOf(path) {
  const id = path.split(".").slice(1).join(".");
  const reading = Object.keys(desk.paths).find((each) => path === `facts.${desk.paths[each]}`);
  return TITLES[path] || desk.symptoms[id] || desk.readings[reading] || id.replace(/^(pool|equipment)\./, "") || path;
}

function valueOf(value) {
  if (value === undefined || value === "") return "nothing";
  if (value && typeof value === "object") return "said" in value ? value.said : [`${signOf(value)}${value.value}`, value.unit].filter((each) => each !== undefined).join(" ");
  return String(value);
}

on("met", (who, taken) => {
  if (taken.length && who) {
    $("#met").hidden = false;
    $("#met").textContent = `${who} works on this call, too, and changed ${taken.slice(0, 4).map(titleOf).join(", ")}${taken.length > 4 ? ` and ${taken.length - 4} more` : ""}. Both are kept.`;
  }
  drawClashes();
});

export function drawClashes() {
  const clashes = Object.entries((desk.call.kept && desk.call.kept.clashes) || {});
  const place = $("#clash");
  const had = place.contains(document.activeElement);
  place.hidden = !clashes.length;
  place.replaceChildren(...clashes.map(([path, { mine, theirs, who }]) => {
    const line = make("li", {}, make("span", {}, make("b", { textContent: `${titleOf(path)}: ` }), `${who || "somebody else"} told ${valueOf(theirs)}, you ${valueOf(mine)}.`));
    for (const [words, choice] of [[`keep ${valueOf(theirs)}`, "theirs"], [`keep ${valueOf(mine)}`, "mine"], ["note both", "both"]]) {
      const button = make("button", { type: "button", className: "d-quiet" }, words, make("span", { className: "d-hush", textContent: ` for ${titleOf(path)}` }));
      button.addEventListener("click", () => tell("chosen", path, choice, `${titleOf(path)}: ${valueOf(theirs)} (${who}), ${valueOf(mine)} (${document.body.dataset.agent})`));
      line.append(button);
    }
    return line;
  }));
  if (had) (all("button", place)[0] || $("#ask")).focus();
}

// --- finding

let finding = 0;
async function find(words, given) {
  const list = $("#all-calls");
  const fill = (found, none) => list.replaceChildren(...(found.length ? found.map((line) => make("li", { className: "d-call-row" }, callLine(line), make("span", { className: "d-soft", textContent: [line.phone, line.title].filter(Boolean).join(" · ") }))) : [make("li", { className: "d-soft", textContent: none })]));
  if (!$("#all").open) { $("#all").showModal(); $("#calls-search").value = words; $("#calls-search").focus(); }
  if (given) { fill(given, ""); return; }
  const mine = (finding += 1);
  try {
    const { calls } = words.trim() ? await asked("POST", "/search", { words }) : await asked("GET", "/calls?which=all");
    if (mine === finding) fill(calls, "No call is like that.");
  } catch {
    if (mine === finding) fill([], "No line to the desk: nothing can be looked for now.");
  }
}
let typed = 0;
$("#calls-search").addEventListener("input", (event) => { clearTimeout(typed); typed = setTimeout(() => find(event.target.value), 150); });
on("find", () => find(""));

key("o", () => show(LISTS[(LISTS.indexOf(which) + 1) % LISTS.length]));
key("w", next);
key("v", looked);
key("g", () => ($("#clash button") || $("#ask")).focus());

export const KEYS = [
  ["O", "the list: today, open, due"],
  ["W", "the next call that waits: what is due, else the oldest open one"],
  ["V", "what was promised was asked: tick it off"],
  ["G", "to what two of you told differently"],
  ["Alt+7", "the caller’s number; Enter takes who it is"],
  ["Alt+8", "the address"],
  ["Alt+9", "when to ring back"],
];

on("opened", (call) => {
  if (!call.kept) say("");
  $("#met").hidden = true;
  $("#promised").replaceChildren();
  delete $("#promised").dataset.was;
  before([], []);
  fillWho();
  drawClashes();
  draw();
  whoRings();
});
poll();
