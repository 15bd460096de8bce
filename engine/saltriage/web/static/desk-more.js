// Panels beside the call: water, plan, follow-up, history, hand-over, summary, case file; and what is printed or saved.

import { at, caseOf, callOf, localTime } from "./desk-call.js";
import { $, all, desk, isField, keepNow, post, tell } from "./desk-page.js";

const dialog = $("#more");
const place = $("#more-shown");
let kind = "water";

const asked = (more = {}) => ({
  case: caseOf(desk.call),
  units: desk.call.units,
  record: desk.call.record || {},
  occasion: $("#occasion").value,
  when: localTime(),
  ...more,
});

export function open(what) {
  if (!dialog.open) dialog.showModal();
  show(what || kind);
}

async function show(what, more) {
  kind = what;
  all("[data-kind]", $(".d-tabs")).forEach((each) => each.setAttribute("aria-pressed", String(each.dataset.kind === kind)));
  $("#more-occasion").hidden = kind !== "plan";
  $("#more-case").hidden = kind !== "case";
  place.hidden = kind === "case";
  if (kind === "case") return;
  place.setAttribute("aria-busy", "true");
  try {
    const text = await (await post(`/support/more/${what}`, asked(more))).text();
    if (what !== kind) return; // another one was asked for meanwhile
    const panel = $("[data-kind]", new DOMParser().parseFromString(text, "text/html"));
    if (more && panel.dataset.record) {
      desk.call.record = JSON.parse(panel.dataset.record);
      keepNow();
    }
    place.replaceChildren(...panel.childNodes);
    place.scrollTop = 0;
  } catch (trouble) {
    if (what !== kind) return;
    place.textContent = trouble.problem ? troubleOf(trouble.problem) : "No line to the server. The call is kept in this browser.";
  } finally {
    if (what === kind) place.removeAttribute("aria-busy");
  }
}

function troubleOf(problem) {
  const fields = (problem.errors || []).map((each) => `${each.field}: found ${each.found}; expected ${each.expected}. ${each.mend}`);
  return [problem.title, problem.detail, ...fields].filter(Boolean).join(" ");
}

// The end of a call keeps what was promised, so that a later call can be held against it.
export async function openRecord(call) {
  try {
    const body = { case: caseOf(call), units: call.units, when: localTime() };
    const text = await (await post("/support/more/follow-up", body)).text();
    return JSON.parse($("[data-record]", new DOMParser().parseFromString(text, "text/html")).dataset.record);
  } catch {
    return null; // the call is kept all the same, and its record is made when it is asked for
  }
}

dialog.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.kind) show(button.dataset.kind);
  else if (button.dataset.print) printMore(button.dataset.print);
  else if (button.dataset.copyOf) copy(button.dataset.copyOf);
});
$("#occasion").addEventListener("change", () => show("plan"));

dialog.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey || isField(event.target) || !/^[1-7]$/.test(event.key)) return;
  const button = all("[data-kind]", $(".d-tabs"))[Number(event.key) - 1];
  event.preventDefault();
  button.focus();
  show(button.dataset.kind);
});

dialog.addEventListener("submit", (event) => {
  if (event.target.id !== "follow") return;
  event.preventDefault();
  const readings = {};
  const symptoms = {};
  const did = {};
  all("[data-now]", place).forEach((field) => { if (field.value.trim()) readings[field.dataset.now] = entry(field.value.trim()); });
  all("[data-seen]", place).forEach((field) => { if (field.value) symptoms[field.dataset.seen] = field.value; });
  all("[data-did]", place).forEach((box) => {
    if (box.checked) did[box.dataset.did] = ($(`[data-amount="${box.dataset.did}"]`, place) || { value: "" }).value.trim();
  });
  show("follow-up", { readings, symptoms, did: Object.keys(did).length ? did : null });
});

const entry = (text) => {
  const value = text.replace(/^(\d+),(\d+)/, (whole, before, after) => (after.length === 3 ? before + after : `${before}.${after}`));
  return /^\d+(\.\d+)?$/.test(value) ? Number(value) : value;
};

function copy(name) {
  const text = $(`[data-copy="${name}"]`, place);
  const told = $("#copied");
  navigator.clipboard.writeText(text.innerText).then(
    () => { told.textContent = "copied"; },
    () => { getSelection().selectAllChildren(text); told.textContent = "selected: press Ctrl+C"; },
  );
}

function printMore(what) {
  const form = $("#print-more");
  form.action = `/support/page/${what}`;
  form.elements.sent.value = JSON.stringify(asked());
  form.submit();
}

export function print() {
  const form = $("#print");
  form.elements.state.value = JSON.stringify({ case: caseOf(desk.call), skipped: desk.call.skipped, trail: [], units: desk.call.units });
  form.submit();
}

function download(name, text) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

// The name of the case, else when the call began: never ten files of one name.
const fileName = (ending) => `${(at(desk.call.facts, "title") || desk.call.begun.slice(0, 16)).toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-|-$/g, "")}.${ending}.json`;

$("#save").addEventListener("click", () => download(fileName("case"), `${JSON.stringify(caseOf(desk.call), null, 2)}\n`));
$("#save-result").addEventListener("click", async () => {
  try {
    download(fileName("diagnosis"), await (await post("/api/v1/diagnose", caseOf(desk.call))).text());
  } catch (trouble) {
    tell("trouble", trouble.problem ? troubleOf(trouble.problem) : "No line to the server.");
  }
});

// The code that an owner's page shows: a case, packed (RFC 1950) and written as RFC 4648 has it in its section 5.
const CODE = "ST1.";
const MOST_UNPACKED = 400_000; // bytes

async function unpacked(code) {
  const letters = code.replace(/\s/g, "").slice(CODE.length).replaceAll("-", "+").replaceAll("_", "/");
  const bytes = Uint8Array.from(atob(letters), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  const parts = [];
  let size = 0;
  for (const reader = stream.getReader(); ; ) {
    const { done, value } = await reader.read();
    if (done) break;
    size += value.length;
    if (size > MOST_UNPACKED) throw new Error("holds too much");
    parts.push(value);
  }
  return new Blob(parts).text();
}

async function caseIn(text) {
  if (!text.trim().startsWith(CODE)) return text;
  try {
    return await unpacked(text.trim());
  } catch {
    throw Object.assign(new Error("code"), { problem: { title: "The code cannot be read.", detail: "Ask for all of it: it may be cut off." } });
  }
}

// Opens a case as a call of its own; what is open stays kept.
async function take(given) {
  try {
    const data = await (await post("/support/case", { text: await caseIn(given) })).json();
    if (dialog.open) dialog.close();
    tell("loaded", callOf(data, desk.call.units));
    return true;
  } catch (trouble) {
    tell("trouble", trouble.problem ? troubleOf(trouble.problem) : "No line to the server.");
    return false;
  }
}

$("#load").addEventListener("change", async (event) => {
  const [file] = event.target.files;
  if (!file) return;
  await take(await file.text());
  event.target.value = ""; // the same file may be chosen again
});

$("#open-pasted").addEventListener("click", async () => {
  if (await take($("#pasted").value)) $("#pasted").value = "";
});
