// What came of a call, in two taps: what it was, and how that is known; or what cured it, or what was advised in vain.

import { $, all, desk, make, tell } from "./desk-page.js";
import { flushed, say } from "./desk-kept.js";
import { asked } from "./desk-line.js";

const dialog = $("#close");
const place = $("#close-ways");
const HOW = [["visit", "Seen on a visit"], ["test", "A test settled it"], ["cure", "The cure worked"], ["caller", "The caller says so"]];
let answer = null; // the call as the desk has it
let causes = []; // of the rules: id and title

function button(number, words, more, then) {
  const made = make("button", { type: "button", className: "d-way" }, make("kbd", { className: "d-key", textContent: number, ariaHidden: "true" }), make("span", {}, make("b", { textContent: words }), more ? make("span", { className: "d-soft", textContent: more }) : ""));
  made.dataset.way = number;
  made.addEventListener("click", then);
  return made;
}

function show(head, ways, ...more) {
  $("#h-close").textContent = head;
  place.replaceChildren(...ways.map(([words, said, then], at) => button(String(at + 1), words, said, then)), ...more);
  $("button", place).focus();
}

export async function open() {
  if (!(await flushed())) { say("the desk cannot be reached: the call is kept in this browser, close it when the line is back", true); return; }
  if (!desk.call.kept) return;
  answer = await asked("GET", `/calls/${desk.call.id}`);
  if (!answer["is-open"]) return;
  const finding = answer.findings.at(-1) || { causes: [], actions: [] };
  const likely = finding.causes.slice(0, 3);
  if (!dialog.open) dialog.showModal();
  show("What came of it?", [
    ["The talk is over, the outcome comes later", "it stays open, and what was promised is due", later],
    ...likely.map((each) => [`It was: ${each.title}`, `said with ${Math.round(100 * each.probability)} %`, () => how([each])]),
    ["It was something else", "any cause of the rules", another],
    ["It is cured, the cause is not sure", "say what cured it", () => which("What cured it?", finding.actions, (action) => close({ how: "cure", "cured-by": [action] }))],
    ["The advice was wrong", "say what did not help", () => which("What did not help?", finding.actions, (action) => close({ failed: [action] }))],
    ["Not solved", "nobody knows why", notSolved],
  ]);
}

function how(chosen) {
  const { actions } = answer.findings.at(-1) || { actions: [] };
  const ids = chosen.map((each) => each.cause);
  show(`${chosen.map((each) => each.title).join("; ")}. How is that known?`, HOW.map(([word, words]) => [words, "", () => close({ causes: ids, how: word, ...said() })]), ...fold(actions));
}

// What else may be said; nothing of it is needed.
function fold(actions) {
  const boxes = (name, title) => actions.length ? [make("p", { className: "d-soft", textContent: title }), ...actions.slice(0, 6).map((each) => make("label", { className: "d-box-line" }, Object.assign(make("input", { type: "checkbox", value: each.action }), { name }), ` ${each.title}`))] : [];
  const remark = make("input", { id: "remark", maxLength: 400, autocomplete: "off" });
  return [make("details", {}, make("summary", { textContent: "Say more" }), ...boxes("cured", "It was cured by"), ...boxes("failed", "It did not help"), make("p", {}, make("label", { htmlFor: "remark", textContent: "Remark " }), remark))];
}

function said() {
  const of = (name) => all(`input[name=${name}]:checked`, place).map((each) => each.value);
  return { "cured-by": of("cured"), failed: of("failed"), remark: ($("#remark") || { value: "" }).value.trim() };
}

function which(head, actions, then) {
  show(head, [...actions.slice(0, 7).map((each) => [each.title, "", () => then(each.action)]), ["Something that was not advised", "", () => close({ remark: head })]]);
}

function notSolved() {
  show("Not solved. Why is it closed?", [
    ["It went to a technician or the maker", "", () => close({ remark: "Not solved; handed on." })],
    ["The caller did not ring again", "", () => close({ remark: "Not solved; nobody rang again." })],
    ["Nobody found the cause", "", () => close({ remark: "Not solved; no cause was found." })],
  ]);
}

async function another() {
  causes = causes.length ? causes : (await (await fetch("/api/v1/knowledge")).json()).causes;
  const field = make("input", { id: "cause", autocomplete: "off" });
  field.setAttribute("list", "causes");
  const list = make("datalist", { id: "causes" }, ...causes.map((each) => make("option", { value: each.title })));
  const take = make("button", { type: "button", className: "d-main" }, "Take it");
  const chosen = () => {
    const found = causes.find((each) => each.title === field.value) || causes.filter((each) => each.title.toLowerCase().includes(field.value.trim().toLowerCase())).slice(0, 1)[0];
    if (found && field.value.trim()) how([{ cause: found.id, title: found.title }]);
  };
  take.addEventListener("click", chosen);
  field.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); chosen(); } });
  $("#h-close").textContent = "What was it?";
  place.replaceChildren(make("p", { className: "d-buttons" }, make("label", { htmlFor: "cause", textContent: "Cause" }), field, take), list);
  field.focus();
}

function later() {
  desk.call.ended ||= new Date().toISOString();
  dialog.close();
  tell("ended");
}

async function close(outcome) {
  try {
    const told = await asked("POST", `/calls/${desk.call.id}/close`, { ...outcome, seen: answer.version });
    desk.call.ended ||= new Date().toISOString();
    took(told);
    dialog.close();
    say(`closed, call ${told.number}`);
    tell("ended");
  } catch (trouble) {
    $("#h-close").textContent = trouble.status === 409 ? "Somebody else changed the call meanwhile: look at it, then close it." : "The desk does not answer; the call stays open.";
  }
}

function took(told) {
  Object.assign(desk.call.kept, { version: told.version, closed: !told["is-open"] });
  desk.call.kept.base.ended = desk.call.ended;
  tell("answered", told);
  tell("sent", desk.call);
}

export async function reopen() {
  try {
    const told = await asked("POST", `/calls/${desk.call.id}/reopen`, {});
    desk.call.ended = "";
    took(told);
    say(`open again, call ${told.number}`);
    tell("ended");
  } catch {
    say("the desk does not answer; the call is as it was", true);
  }
}

dialog.addEventListener("keydown", (event) => {
  if (event.target.matches("input:not([type=checkbox])") || event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
  const way = /^[1-9]$/.test(event.key) && $(`[data-way="${event.key}"]`, place);
  if (way) { event.preventDefault(); way.click(); }
});
