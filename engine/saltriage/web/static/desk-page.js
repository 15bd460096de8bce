// What all parts of the desk share: finding things, the call that is open, what is shown of it, asking the server.

import * as store from "./desk-store.js";
import { newCall } from "./desk-call.js";

export const $ = (selector, root = document) => root.querySelector(selector);
export const all = (selector, root = document) => [...root.querySelectorAll(selector)];

const told = JSON.parse(document.body.dataset.titles);

// Each part listens to what concerns it; nobody calls another part by name.
const listeners = new Map();
export function on(what, then) {
  listeners.set(what, [...(listeners.get(what) || []), then]);
}
export function tell(what, ...about) {
  for (const then of listeners.get(what) || []) then(...about);
}

export const desk = {
  call: newCall(store.choices().units),
  shown: { question: "", danger: "open", takesBack: [], look: [], chances: {}, stops: [], outcome: "" },
  symptoms: told.symptoms,
  readings: told.readings,
  paths: { ...Object.fromEntries(Object.keys(told.readings).map((id) => [id, `readings.${id}`])), ...told.paths },
  first: { metric: told.metric, us: { ...told.metric, ...told.us } },
};

let timer = 0;
// Keeps the call a moment later; typing does not wait for it.
export function keepSoon() {
  clearTimeout(timer);
  timer = setTimeout(keepNow, 150);
}

export function keepNow() {
  clearTimeout(timer);
  timer = 0;
  tell("keep");
}

// An element: properties as they are called in scripts, aria and role as attributes.
export function make(tag, words = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(words)) {
    if (name === "role") made.setAttribute(name, value);
    else if (name.startsWith("aria")) made.setAttribute(`aria-${name.slice(4).toLowerCase()}`, value);
    else made[name] = value;
  }
  made.append(...inside);
  return made;
}

export function sign(name) {
  const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  const use = document.createElementNS("http://www.w3.org/2000/svg", "use");
  svg.setAttribute("class", "d-sign");
  svg.setAttribute("aria-hidden", "true");
  svg.setAttribute("focusable", "false");
  use.setAttribute("href", `#d-${name}`);
  svg.append(use);
  return svg;
}

export async function post(address, body, signal) {
  const sent = await fetch(address, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
    signal,
  });
  if (sent.ok) return sent;
  const kind = sent.headers.get("content-type") || "";
  const problem = kind.includes("json") ? await sent.json() : { title: `The server said ${sent.status}`, detail: "" };
  throw Object.assign(new Error("refused"), { problem, status: sent.status });
}

export const isField = (element) => Boolean(element && element.matches("textarea, input:not([type=checkbox]):not([type=file]), select"));
