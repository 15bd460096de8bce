// Panels from the server. Every request has a number; nothing that is older than the newest act is ever shown.

import { caseOf, clock, put } from "./desk-call.js";
import { $, all, desk, keepSoon, on, post, tell } from "./desk-page.js";

const MOST_MENDS = 6;
const AGAIN = [1000, 2000, 4000, 8000, 15000]; // ms between tries on a bad line
let number = 0; // of the last request
let acts = 0; // so often somebody told something; an answer to an older state is not shown
let running = null;
let dirty = false; // the words changed while a request was out
let tries = 0;
let retry = 0;
export const refusals = new Map(); // path -> why; kept out of what is sent until it is typed anew

// Something was told: what is out is of no use any more.
export function act() {
  acts += 1;
  desk.call.before = desk.shown.chances;
  keepSoon();
  tell("told");
  if (running) running.abort();
  running = null;
  dirty = false;
  send();
}

// The words changed: what is out may still come, and this goes after it.
export function follow() {
  keepSoon();
  tell("told");
  if (running) dirty = true;
  else send();
}

export const sent = () => ({
  case: caseOf(desk.call),
  skipped: desk.call.skipped,
  asked: desk.call.asked,
  insists: desk.call.insists,
  safe: desk.call.safe.startsWith("yes:") ? desk.call.safe.slice(4).split("+") : [],
  units: desk.call.units,
});

async function send() {
  clearTimeout(retry);
  const mine = (number += 1);
  const then = acts;
  const opened = desk.call.id;
  const controller = (running = new AbortController());
  document.body.setAttribute("aria-busy", "true");
  try {
    const page = await asked(mine, controller.signal);
    if (then === acts && opened === desk.call.id) show(page, mine);
    tries = 0;
    $("#line").hidden = true;
    all('[data-kept="away"]').forEach((each) => each.remove());
  } catch (trouble) {
    if (trouble.name === "AbortError") return;
    failed(trouble);
  } finally {
    if (running === controller) {
      running = null;
      if (dirty) {
        dirty = false;
        send();
      } else document.body.removeAttribute("aria-busy");
    }
  }
}

// Whatever the server refuses is left out, and said beside its field; the rest still counts.
async function asked(mine, signal) {
  for (let mends = 0; ; mends += 1) {
    const body = { ...sent(), number: mine };
    for (const path of refusals.keys()) put(body.case, path, null);
    try {
      const text = await (await post("/support/panels", body, signal)).text();
      const page = new DOMParser().parseFromString(text, "text/html");
      if (Number($('[data-for="state"]', page).dataset.number) !== mine) throw new Error("an answer to another request");
      return page;
    } catch (trouble) {
      if (!trouble.problem || !trouble.problem.errors || mends === MOST_MENDS) throw trouble;
      for (const error of trouble.problem.errors) refusals.set(pathOf(error.field), said(error));
      tell("refused");
    }
  }
}

function pathOf(field) {
  const known = all("[data-path]").map((each) => each.dataset.path).find((path) => `${field}.`.startsWith(`${path}.`));
  return known || field.split(".").slice(0, 2).join(".");
}

const said = (error) => `found ${error.found}${error.expected ? `; expected ${error.expected}` : ""}. ${error.mend}`.trim();

function failed(trouble) {
  const line = $("#line");
  line.hidden = false;
  if (trouble.problem && trouble.status < 500) {
    line.textContent = `${trouble.problem.title}. ${trouble.problem.detail || ""}`;
    tell("settled");
    return;
  }
  line.textContent = "No line to the server: all that is told is kept in this browser and counts when the line is back.";
  retry = setTimeout(send, AGAIN[Math.min(tries, AGAIN.length - 1)]);
  tries += 1;
  tell("settled");
}

addEventListener("online", () => { if (retry) send(); });

function show(page, mine) {
  const state = JSON.parse($('[data-for="state"]', page).dataset.json);
  const was = desk.shown;
  desk.shown = { ...state, number: mine };
  times(state, was);
  for (const piece of all("[data-for]", page)) {
    const { for: name } = piece.dataset;
    if (name === "status") $("#status").textContent = piece.textContent.trim();
    else if (name === "why") why(piece, was.chances);
    else if (name === "rows") tell("rows", piece);
    else if (name === "ask") tell("card", piece, was.question);
    else if (name !== "state" && name !== "ask-head" && name !== "case-title") renew($(`[data-panel="${name}"]`), piece);
  }
  tell("head", $('[data-for="ask-head"]', page).textContent);
  $("#danger").dataset.danger = state.danger;
  $("#end").classList.toggle("d-main", !["life", "harm"].includes(state.danger));
  all("[data-time]").forEach((each) => { each.textContent = desk.call.times[each.dataset.time] || "just now"; });
  desk.call.outcome = desk.call.ended && desk.call.outcome ? desk.call.outcome : state.outcome;
  desk.call.danger = ["life", "harm"].includes(state.danger) ? state.danger : "";
  tell("shown");
  keepSoon();
}

function times(state, was) {
  const grave = (danger) => ["life", "harm"].includes(danger);
  const { times } = desk.call;
  if (grave(state.danger) && (!grave(was.danger) || !times.danger)) times.danger = clock();
  if (!grave(state.danger)) delete times.danger;
  // Nothing stays safe that has ceased to stand: told anew it is another danger.
  if (desk.call.safe.startsWith("yes:")) desk.call.safe = state.safe.length ? `yes:${state.safe.join("+")}` : "";
  if (["none", "unsure"].includes(state.danger) && !times.look) times.look = clock();
}

// Left alone where nothing changed, so that nothing flickers and no fold closes.
function renew(place, piece) {
  if (place.dataset.was === piece.innerHTML) return;
  place.dataset.was = piece.innerHTML;
  const steps = () => all("button, summary", place);
  const step = steps().indexOf(document.activeElement);
  const open = new Set(all("details[open] > summary", place).map((each) => each.textContent));
  place.replaceChildren(...piece.childNodes);
  all("details > summary", place).forEach((each) => { each.parentElement.open = open.has(each.textContent); });
  if (step >= 0 && steps().length) steps()[Math.min(step, steps().length - 1)].focus({ preventScroll: true });
}

// Bars begin where they stood and move; the change since the last answer stands at the right.
function why(piece, was) {
  const place = $('[data-panel="why"]');
  const { before } = desk.call;
  renew(place, piece);
  for (const line of all("[data-cause]", place)) {
    const { cause, chance } = line.dataset;
    const fill = $(".d-fill", line);
    const now = fill.getAttribute("width");
    if (was && cause in was && !line.dataset.moved) {
      fill.setAttribute("width", String(Math.round(was[cause] * 1000) / 10));
      fill.getBoundingClientRect();
      fill.setAttribute("width", now);
    }
    line.dataset.moved = "yes";
    const change = before && Object.keys(before).length ? Math.round(100 * (Number(chance) - (before[cause] || 0))) : 0;
    const label = $(".d-change", line);
    label.textContent = change ? `${change > 0 ? "+" : "−"}${Math.abs(change)}` : "";
  }
}

on("mended", (path) => refusals.delete(path));
