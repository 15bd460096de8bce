// The question card. It alone answers keys, only while it has the focus, and only on the question that is seen.

import * as store from "./desk-store.js";
import { answer, clock, put, remember, skip, undone } from "./desk-call.js";
import { $, all, desk, isField, keepSoon, on, tell } from "./desk-page.js";
import { act } from "./desk-panels.js";
import { entryOf, fillAsked } from "./desk-readings.js";

const card = $("#ask");
const DEAD = 400; // ms: a key meant for the question before never answers the one that took its place
let shownAt = 0;
let shownId = null; // of the question that is seen; answers are for it and for no other
let html = "";
let held = null; // a newer card that waits while a number is typed into this one

on("card", (piece) => {
  const id = desk.shown.question;
  if (id !== shownId && !card.dataset.waiting && typing()) {
    held = { piece, id };
    return;
  }
  showCard(piece, id);
});

const typing = () => card.contains(document.activeElement) && isField(document.activeElement);

function showCard(piece, id) {
  held = null;
  delete card.dataset.waiting;
  if (id === shownId && piece.innerHTML === html) { safe(); return; }
  if (id === shownId && (ticked().length || typing())) return;
  const had = card.contains(document.activeElement);
  html = piece.innerHTML;
  card.replaceChildren(...piece.childNodes);
  if (id !== shownId) {
    shownAt = performance.now();
    shownId = id;
    card.classList.remove("d-new-question");
    card.getBoundingClientRect();
    card.classList.add("d-new-question");
  }
  all(".d-asked", card).forEach(fillAsked);
  // The focus was on what is gone; it stays with the card. A field elsewhere keeps it.
  if (had && document.activeElement !== card) card.focus({ preventScroll: true });
  safe();
}

card.addEventListener("focusout", () => {
  setTimeout(() => { if (held && !typing()) showCard(held.piece, held.id); });
});

// Under danger the card asks whether everybody is out. The answer is the call's own and lifts no advice; after a yes what
// the caller knows already is asked.
function safe() {
  const asking = $('.asking[data-kind="safe"]', card);
  if (!asking) return;
  const said = desk.call.safe.split(":")[0];
  asking.dataset.safe = said;
  all("[data-answer]", asking).forEach((each) => each.setAttribute("aria-pressed", String(each.dataset.answer === said)));
}

const isDead = () => card.dataset.waiting || performance.now() - shownAt < DEAD;
const ticked = () => all('.d-tick[aria-pressed="true"]', card);

function tick(button) {
  const on_ = button.getAttribute("aria-pressed") !== "true";
  button.setAttribute("aria-pressed", String(on_));
  const rest = $(".d-rest", card);
  if (rest) rest.textContent = ticked().length ? "Only what is ticked" : "None of these";
}

const WORD = { yes: "yes", no: "no", unknown: "cannot tell" };

// One press, one answer, for the question that was seen when it was pressed.
function answered(said, question) {
  if (isDead() || question !== shownId) return;
  const { call } = desk;
  const lines = all(".asking", card);
  const kind = lines[0] && lines[0].dataset.kind;
  if (kind === "reading" && said === "numbers" && !numbersIn(lines).length) {
    const field = $("input.d-value", card);
    if (field) field.focus();
    return;
  }
  remember(call);
  card.dataset.waiting = "yes";
  if (kind === "safe") {
    call.safe = said === "yes" ? `yes:${lines[0].dataset.stops}` : said;
    call.last = `everybody out and well: ${WORD[said]}, ${clock()}`;
    last();
    if (said === "yes") { act(); return; }
    delete card.dataset.waiting;
    safe();
    keepSoon();
    return;
  }
  if (kind === "more") {
    call.insists = true;
    call.last = "ask on";
    act();
    return;
  }
  if (kind === "symptom") symptoms(lines, said);
  else numbers(lines, said);
  call.asked.push(question);
  last();
  act();
}

function symptoms(lines, said) {
  const { call } = desk;
  const yes = [];
  for (const line of lines) {
    const { id } = line.dataset;
    const mark = $(".d-tick", line);
    const isYes = mark ? mark.getAttribute("aria-pressed") === "true" : said === "yes";
    if (isYes) yes.push(desk.symptoms[id]);
    answer(call, id, isYes ? "yes" : { "rest-no": "no", "rest-unknown": "unknown" }[said] || said, "asked");
  }
  const rest = said === "rest-unknown" ? "cannot tell" : "no";
  if (lines.length === 1) call.last = `${desk.symptoms[lines[0].dataset.id]}: ${WORD[said] || (yes.length ? "yes" : rest)}`;
  else if (yes.length) call.last = `${yes.join(", ")}: yes; the others: ${rest}`;
  else call.last = desk.shown.isLook ? `danger look, ${lines.length} lines: ${rest}` : `${lines.length} lines: ${rest}`;
}

const numbersIn = (lines) => lines.map((line) => $(".d-asked", line)).filter((each) => $("input", each).value.trim());

function numbers(lines, said) {
  const { call } = desk;
  const told = [];
  for (const line of lines) {
    const asked = $(".d-asked", line);
    const { reading, path } = asked.dataset;
    const entry = said === "numbers" ? entryOf(asked) : "";
    if (entry === "") skip(call, line.dataset.id);
    else {
      put(call.facts, path, entry);
      tell("mended", path);
      told.push(`${desk.readings[reading]} ${$("input", asked).value.trim()}`);
    }
  }
  call.last = told.length ? told.join(", ") : `${desk.readings[lines[0].dataset.id]}${lines.length > 1 ? " and others" : ""}: not at hand`;
}

export function last() {
  $("#last").textContent = desk.call.last ? `Last: ${desk.call.last}` : "";
}

export function undo() {
  if (!undone(desk.call)) { $("#last").textContent = "Nothing to undo"; return; }
  const what = desk.call.last;
  act();
  tell("filled");
  $("#last").textContent = what ? `Undone. Before that: ${what}` : "Undone";
}

// --- keys and presses

card.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.matches(".d-tick")) { if (!isDead()) tick(button); return; }
  if (button.dataset.answer) answered(button.dataset.answer, shownId);
});

const SAID = { y: ["yes", "more"], n: ["no", "rest-no"], u: ["unknown", "rest-unknown"] };
const others = new Map(); // keys of other parts that act while the card has the focus
export const key = (name, then) => others.set(name, then);

card.addEventListener("keydown", (event) => {
  const { target } = event;
  if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
  if (isField(target)) {
    if (event.key === "Enter" && target.matches("input")) { event.preventDefault(); if (!event.repeat) entered(target); }
    return;
  }
  if (event.key === "Escape" || store.choices().keysOff || event.repeat) return;
  const name = event.key.length === 1 ? event.key.toLowerCase() : event.key;
  const button = (SAID[name] || []).map((said) => $(`[data-answer="${said}"]`, card)).find(Boolean);
  const line = /^[1-9]$/.test(name) ? $(`.d-tick[data-line="${name}"]`, card) : null;
  if (button) { event.preventDefault(); answered(button.dataset.answer, shownId); }
  else if (line) { event.preventDefault(); if (!isDead()) tick(line); }
  else if (name === "Enter" && target === card && ticked().length) { event.preventDefault(); answered("rest-no", shownId); }
  else if (name === "Enter" && target === card && $(".d-asked", card)) { event.preventDefault(); $(".d-asked input", card).focus(); }
  else if (/^[0-9.,-]$/.test(name) && target === card && $(".d-asked", card)) { if (!isDead()) $(".d-asked input", card).focus(); else event.preventDefault(); }
  else if (others.has(name)) { event.preventDefault(); others.get(name)(); }
});

// Enter goes on to the next field, and from the last one takes them all.
function entered(field) {
  const fields = all("input.d-value", card);
  const next = fields[fields.indexOf(field) + 1];
  if (next) next.focus();
  else answered("numbers", shownId);
}

export function focusCard() {
  card.focus();
  card.scrollIntoView({ block: "nearest" });
}
