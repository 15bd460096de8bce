// Told so far, with edit and undo; and the search that adds to it by title, question and the ways callers say it.

import { answer, remember, takeBack, toldOf } from "./desk-call.js";
import { $, all, desk, make, on, sign, tell } from "./desk-page.js";
import { act } from "./desk-panels.js";

const list = $("#told");
const TURN = { yes: "no", no: "unknown", unknown: "yes" };
const WORD = { yes: "Yes", no: "No", unknown: "Not known" };

function turn(id) {
  const said = TURN[toldOf(desk.call)[id].said];
  remember(desk.call);
  answer(desk.call, id, said, "changed");
  desk.call.last = `${desk.symptoms[id] || id}: ${WORD[said].toLowerCase()}, changed`;
  act();
}

function away(id, title) {
  remember(desk.call);
  takeBack(desk.call, id);
  desk.call.last = `${title}: taken back`;
  act();
}

function line(id, title, said, from) {
  const flip = said
    ? make("button", { type: "button", className: "d-flip", ariaLabel: `${WORD[said]}: ${title}. Change it` }, sign(said))
    : make("span", { className: "d-flip" }, sign("unknown"));
  const back = make("button", { type: "button", className: "d-flip", ariaLabel: `Take back: ${title}` }, sign("back"));
  if (said) flip.addEventListener("click", () => turn(id));
  back.addEventListener("click", () => away(id, title));
  const words = make("span", { className: "d-told-words", title }, `${title} `, make("span", { className: "d-soft", textContent: from }));
  return make("li", {}, flip, words, back);
}

function lookLine(rows) {
  const again = make("button", { type: "button", className: "d-flip", ariaLabel: "Ask the danger look again" }, sign("back"));
  again.dataset.do = "ask-danger";
  return make("li", {}, make("span", { className: "d-flip" }, sign("no")), make("span", { className: "d-told-words" }, `Danger look, none of ${rows} `, make("span", { className: "d-soft", textContent: "asked" })), again);
}

function draw() {
  const every = toldOf(desk.call);
  const { look } = desk.shown;
  // Seven lines that all were denied are one answer.
  const passed = look.length && look.every((id) => every[id] && every[id].said === "no");
  const told = Object.entries(every).filter(([id]) => !passed || !look.includes(id));
  const focused = list.contains(document.activeElement) ? all("button", list).indexOf(document.activeElement) : -1;
  const lines = told.map(([id, { said, from }]) => line(id, desk.symptoms[id] || id, said, from));
  if (passed) lines.unshift(lookLine(look.length));
  for (const id of desk.call.skipped) lines.push(line(id, desk.readings[id] || desk.symptoms[id] || id, "", "not at hand"));
  const more = lines.length > list.children.length;
  list.replaceChildren(...(lines.length ? lines : [make("li", { className: "d-soft", textContent: "nothing yet" })]));
  $("#told-number").textContent = lines.length ? `${lines.length}, newest last` : "";
  if (focused >= 0) (all("button", list)[Math.min(focused, all("button", list).length - 1)] || $("#add")).focus();
  else if (more) list.scrollTop = list.scrollHeight;
}
on("told", draw);
on("shown", draw);

// --- search

const field = $("#add");
const found = $("#found");
const MOST = 8;
let known = null;
let shown = [];
let active = 0;

async function load() {
  if (known) return;
  known = [];
  field.setAttribute("aria-busy", "true");
  try {
    const all_ = await (await fetch("/support/symptoms")).json();
    known = all_.map((each) => ({ ...each, low: each.title.toLowerCase(), asked: each.ask.toLowerCase(), phrases: each.said.map((said) => said.toLowerCase()) }));
    field.dataset.ready = "yes";
    search();
  } catch {
    known = null; // and tried again when the field is next gone to
  }
  field.removeAttribute("aria-busy");
}
// Loaded once the first question stands: who types into the search finds it ready.
addEventListener("load", () => setTimeout(load, 300));

// Every word typed has to begin a word of the title, of one saying, or of the question; titles come first.
function search() {
  const words = field.value.toLowerCase().trim().split(/\s+/).filter(Boolean);
  shown = [];
  if (words.length && known) {
    const begins = words.map((word) => new RegExp(`(^|[^a-z0-9])${word.replace(/[^a-z0-9]/g, "\\$&")}`));
    const fits = (text) => begins.every((begin) => begin.test(text));
    for (const each of known) {
      const saying = each.phrases.findIndex(fits);
      const rank = fits(each.low) ? 0 : saying >= 0 ? 1 : fits(each.asked) ? 2 : 3;
      if (rank < 3) shown.push({ each, rank, saying: rank === 1 ? each.said[saying] : "" });
    }
    shown.sort((one, other) => one.rank - other.rank || one.each.title.length - other.each.title.length);
    shown = shown.slice(0, MOST);
  }
  active = 0;
  drawFound();
}

function drawFound() {
  const lines = shown.map(({ each, saying, rank }, place) => {
    const line = make("li", { id: `found-${place}`, role: "option", ariaSelected: String(place === active) }, make("b", { textContent: each.title }));
    if (saying) line.append(make("span", { className: "d-soft", textContent: ` “${saying}”` }));
    else if (rank === 2) line.append(make("span", { className: "d-soft", textContent: ` ${each.ask}` }));
    // Pressed and not clicked: the field must not lose the focus before.
    line.addEventListener("mousedown", (event) => { event.preventDefault(); add(place, event.shiftKey ? "no" : "yes"); });
    return line;
  });
  const open = Boolean(field.value.trim()) && document.activeElement === field;
  if (open && !lines.length && known && known.length) lines.push(make("li", { className: "d-soft", role: "option", ariaSelected: "false", ariaDisabled: "true", textContent: "Nothing is called or said like that." }));
  if (shown.length) lines.push(make("li", { className: "d-soft", role: "option", ariaSelected: "false", ariaDisabled: "true", textContent: "Enter: yes · Shift+Enter: no" }));
  found.replaceChildren(...lines);
  found.hidden = !open || !lines.length;
  field.setAttribute("aria-expanded", String(!found.hidden));
  if (!found.hidden && shown.length) field.setAttribute("aria-activedescendant", `found-${active}`);
  else field.removeAttribute("aria-activedescendant");
}

function add(place, said) {
  const { each } = shown[place];
  remember(desk.call);
  answer(desk.call, each.id, said, "added");
  desk.call.last = `${each.title}: ${said}, added`;
  field.value = "";
  search();
  act();
  tell("added");
}

field.addEventListener("focus", () => { load(); drawFound(); });
field.addEventListener("blur", drawFound);
field.addEventListener("input", search);
field.addEventListener("keydown", (event) => {
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (step && shown.length) {
    event.preventDefault();
    active = (active + step + shown.length) % shown.length;
    drawFound();
  } else if (event.key === "Enter") {
    event.preventDefault();
    if (shown.length && !event.repeat) add(active, event.shiftKey ? "no" : "yes");
  } else if (event.key === "Escape" && field.value) {
    event.preventDefault();
    event.stopPropagation();
    field.value = "";
    search();
  }
});
