// With script on, steps change in place, at their own addresses, and outlast a bad line. Everything works without it.
import { ready, kept, keep } from "./owner-more.js";

const DRAFT = "saltriage.draft", PENDING = "saltriage.pending", PAGE = "saltriage.page.", MOST_PAGES = 25;
let sending = false, retry = 0;

const inTab = {
  get(key) { try { return JSON.parse(sessionStorage.getItem(key)); } catch { return null; } },
  set(key, value) { try { sessionStorage.setItem(key, JSON.stringify(value)); } catch { /* full: Back asks the server */ } },
};

function told() {
  const state = document.querySelector("[name=state]");
  try { return state ? JSON.parse(state.value) : null; } catch { return null; }
}

function remember(body, html) {
  const number = (inTab.get(PAGE + "last") || 0) + 1;
  inTab.set(PAGE + "last", number);
  inTab.set(PAGE + number, { body, html });
  try { sessionStorage.removeItem(PAGE + (number - MOST_PAGES)); } catch { /* nothing was kept */ }
  return number;
}

function address() {
  const main = document.querySelector("main");
  return (main && main.dataset.address) || "/";
}

// Puts a page in the place of the one that is shown.
function show(html, focus = true) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const main = page.querySelector("main");
  if (!main) throw new Error("no page");
  const note = document.querySelector(".line-note");
  document.body.className = page.body.className;
  document.body.replaceChildren(...page.body.childNodes);
  if (note) lineNote(true);
  document.title = page.title;
  const walk = told();
  if (walk && Object.keys(walk.case).length) {
    keep(DRAFT, { state: JSON.stringify(walk), step: main.dataset.step || "question", time: Date.now() });
  }
  ready();
  if (!focus) return;
  const target = document.querySelector(".troubles") || document.querySelector("h1");
  if (target) { target.setAttribute("tabindex", "-1"); target.focus({ preventScroll: true }); }
  window.scrollTo(0, 0);
}

function lineNote(on) {
  document.querySelector(".line-note")?.remove();
  if (!on) return;
  const note = document.createElement("p");
  note.className = "line-note no-print";
  note.setAttribute("role", "status");
  note.textContent = "No line: your answer is kept on this phone and sent when the line is back.";
  document.querySelector("main").before(note);
}

function busySign() {
  return setTimeout(() => {
    document.querySelector("main").setAttribute("aria-busy", "true");
    const sign = document.createElement("p");
    sign.className = "word-busy";
    sign.setAttribute("role", "status");
    sign.textContent = "working";
    document.body.append(sign);
  }, 150);
}

async function answerTo(body) {
  const answer = await fetch("/owner", { method: "POST", body: new URLSearchParams(body) });
  if (answer.status >= 500 || answer.status === 429) throw new Error(String(answer.status));
  return answer.text();
}

// One answer at a time: what is tapped while one is under way is not taken for another.
async function send(body, push = true) {
  if (sending) return;
  sending = true;
  clearTimeout(retry);
  const sign = busySign();
  try {
    const html = await answerTo(body);
    keep(PENDING, null);
    lineNote(false);
    show(html);
    const state = { number: remember(body, html) };
    if (push) history.pushState(state, "", address()); else history.replaceState(state, "", address());
    // After the first step, so that the first page stays light; only where the browser trusts the address.
    navigator.serviceWorker?.register("/sw.js").catch(() => { /* forbidden: a reload then needs a line */ });
  } catch {
    keep(PENDING, { body, push });
    lineNote(true);
    retry = setTimeout(again, 4000);
  } finally {
    clearTimeout(sign);
    document.querySelector(".word-busy")?.remove();
    document.querySelector("main").removeAttribute("aria-busy");
    sending = false;
  }
}

function again() {
  const pending = kept(PENDING);
  if (pending) send(pending.body, pending.push);
}

function takenUp(go) {
  const draft = kept(DRAFT);
  return new URLSearchParams({ state: draft.state, step: "resume", go }).toString();
}

function offerDraft() {
  const draft = kept(DRAFT), place = document.querySelector(".look-form .thumb");
  if (!draft || !place || (told() && Object.keys(told().case).length)) return;
  const button = document.createElement("button");
  button.type = "button";
  button.className = "quiet-button resume-draft";
  const when = new Date(draft.time).toLocaleString([], { weekday: "short", hour: "2-digit", minute: "2-digit" });
  button.textContent = `Go on where you were (${when})`;
  button.addEventListener("click", () => send(takenUp(["question", "result"].includes(draft.step) ? draft.step : "words")));
  place.append(button);
}

document.addEventListener("submit", (event) => {
  const submitter = event.submitter;
  if (submitter && submitter.hasAttribute("formaction")) return; // a download or the page to print
  event.preventDefault();
  const body = new URLSearchParams(new FormData(event.target, submitter)).toString();
  send(body);
});

window.addEventListener("popstate", (event) => {
  const page = event.state && inTab.get(PAGE + event.state.number);
  if (page && page.html) show(page.html);
  else if (page) send(page.body, false);
  else if (!location.hash) location.reload(); // a place on the same page is no page of its own
});
window.addEventListener("online", again);

function begin() {
  const page = history.state && inTab.get(PAGE + history.state.number);
  const code = location.hash.slice(1);
  if (page && page.html) {
    show(page.html, false);
  } else if (code.startsWith("ST1.")) {
    history.replaceState(null, "", "/");
    send(new URLSearchParams({ state: "", step: "words", go: "result", "saved-case": code }).toString());
  } else {
    const html = "<!doctype html>" + document.documentElement.outerHTML;
    ready();
    const step = location.pathname.split("/").slice(2);
    if (step.length && kept(DRAFT)) {
      send(takenUp(step[0] === "spot" ? `spot:${step[1]}` : step[0]), false);
    } else {
      history.replaceState({ number: remember("", html) }, "");
    }
  }
  offerDraft();
  again();
}
begin();
