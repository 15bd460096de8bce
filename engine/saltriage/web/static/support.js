// The support desk. The case lives here, in the page; the server makes the panels from it and keeps nothing.

const $ = (selector, root = document) => root.querySelector(selector);
const all = (selector, root = document) => [...root.querySelectorAll(selector)];
const titles = new Map(all("#symptoms option").map((option) => [option.dataset.id, option.value]));
const ids = new Map([...titles].map(([id, title]) => [title.toLowerCase(), id]));
let state = fresh();
let running = null;
let waiting = []; // what to do when the panels show the newest state

function fresh() {
  return { case: {}, skipped: [], units: "metric" };
}

function put(path, value) {
  const keys = path.split(".");
  const trail = [state.case];
  for (const key of keys.slice(0, -1)) {
    const inner = trail.at(-1)[key];
    trail.push(inner && typeof inner === "object" ? inner : (trail.at(-1)[key] = {}));
  }
  if (value === "" || value === null) delete trail.at(-1)[keys.at(-1)];
  else trail.at(-1)[keys.at(-1)] = value;
  for (let depth = trail.length - 1; depth > 0; depth -= 1) {
    if (!Object.keys(trail[depth]).length) delete trail[depth - 1][keys[depth - 1]];
  }
}

function at(path) {
  return path.split(".").reduce((found, key) => (found && typeof found === "object" ? found[key] : undefined), state.case);
}

function answer(symptom, said) {
  put(`symptoms.${symptom}`, said);
  showTold();
}

// --- panels

async function post(address, body, signal) {
  const answer = await fetch(address, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
    signal,
  });
  if (!answer.ok) throw Object.assign(new Error("refused"), { problem: await answer.json() });
  return answer;
}

function refused(problem) {
  const box = $("#refused");
  all("[aria-invalid]").forEach((field) => field.removeAttribute("aria-invalid"));
  box.hidden = !problem;
  box.textContent = "";
  if (!problem) return;
  const list = document.createElement("ul");
  for (const error of problem.errors || [{ field: problem.title, found: problem.detail, expected: "", mend: "" }]) {
    const line = document.createElement("li");
    const expected = error.expected ? `; expected ${error.expected}.` : "";
    line.textContent = `${error.field}: found ${error.found}${expected} ${error.mend}`;
    list.append(line);
    const field = all("[data-path]").find((each) => `${error.field}.`.startsWith(`${each.dataset.path}.`));
    if (field) (field.matches("fieldset") ? $("input", field) : field).setAttribute("aria-invalid", "true");
  }
  box.append(list);
}

const PAUSE = 150; // ms: answers that come in one go are asked about once

async function refresh(then) {
  if (then) waiting.push(then);
  if (running) running.abort();
  running = new AbortController();
  const mine = running;
  document.body.setAttribute("aria-busy", "true");
  await new Promise((done) => { setTimeout(done, PAUSE); });
  if (mine !== running) return;
  try {
    const text = await (await post("/support/panels", state, mine.signal)).text();
    const page = new DOMParser().parseFromString(text, "text/html");
    for (const piece of all("[data-for]", page)) {
      if (piece.dataset.for === "status") $("#status").textContent = piece.textContent.trim();
      else $(`[data-panel="${piece.dataset.for}"]`).replaceChildren(...piece.childNodes);
    }
    refused(null);
    for (const each of waiting.splice(0)) each();
  } catch (trouble) {
    if (trouble.name === "AbortError") return;
    refused(trouble.problem || { title: "No answer", detail: "the server cannot be reached" });
  } finally {
    if (mine === running) document.body.removeAttribute("aria-busy");
  }
}

function focusQuestion() {
  const first = $('[data-panel="next"] .asking input') || $('[data-panel="next"] [data-answer]');
  if (first) first.focus();
  else $("#h-told").scrollIntoView();
}

// --- what was told

function showTold() {
  const list = $("#told");
  const answers = Object.entries(state.case.symptoms || {});
  list.replaceChildren();
  for (const [id, said] of answers) {
    const line = document.createElement("li");
    const away = document.createElement("button");
    away.type = "button";
    away.className = "small";
    away.textContent = "take back";
    away.setAttribute("aria-label", `take back: ${titles.get(id) || id}`);
    away.addEventListener("click", () => {
      answer(id, "");
      refresh();
      $("#h-told").scrollIntoView({ block: "nearest" });
    });
    const word = { yes: "Yes", no: "No", true: "Yes", false: "No" }[String(said)] || "Unknown";
    line.append(`${word}: ${titles.get(id) || id} `, away);
    list.append(line);
  }
  for (const id of state.skipped) {
    const line = document.createElement("li");
    line.textContent = `Cannot be measured: ${id.replaceAll("-", " ")}`;
    list.append(line);
  }
  if (!list.children.length) list.append(Object.assign(document.createElement("li"), { textContent: "nothing" }));
}

function entryOf(fieldset) {
  const value = $("input", fieldset).value.trim();
  const unit = ($("[name$='.unit']", fieldset) || { value: "" }).value;
  const method = ($("[name$='.method']", fieldset) || { value: "" }).value;
  if (!value) return "";
  const plain = /^(\d+\.?\d*|\.\d+)$/.test(value);
  if (!plain || !fieldset.dataset.path.startsWith("readings.")) return `${value} ${unit}`.trim();
  if (!method) return unit ? `${value} ${unit}` : Number(value);
  return unit ? { value: Number(value), unit, method } : { value: Number(value), method };
}

function fill(fieldset) {
  const entry = at(fieldset.dataset.path);
  const parts = entry && typeof entry === "object" ? entry : null;
  const text = entry === undefined ? "" : String(parts ? parts.value : entry);
  const [number, ...unit] = text.split(" ");
  $("input", fieldset).value = number;
  const units = $("[name$='.unit']", fieldset);
  const named = parts ? parts.unit : unit.join(" ");
  if (units && named) {
    if (![...units.options].some((option) => option.value === named)) units.add(new Option(named, named));
    units.value = named;
  }
  const methods = $("[name$='.method']", fieldset);
  if (methods) methods.value = (parts && parts.method) || "";
}

function fillAll() {
  all("#numbers fieldset[data-path]").forEach(fill);
  all("select[data-path], input[data-path]").forEach((field) => { field.value = at(field.dataset.path) || ""; });
  $(`input[name=units][value=${state.units}]`).checked = true;
  showTold();
}

// --- caller's words

function candidate(kind, each) {
  const line = document.createElement("li");
  const label = document.createElement("label");
  const box = document.createElement("input");
  box.type = "checkbox";
  // What is only likely is never ticked for the caller.
  box.checked = kind === "reading" ? Boolean(each.entry) : kind === "symptom" && !each.hedged;
  box.disabled = kind === "reading" && !each.entry;
  box.dataset.kind = kind;
  const what = kind === "reading"
    ? `${each.title}: ${each.number} ${each.unit || `(unit open: ${each["may-be"].join(" or ")})`}`
    : `${each.present ? "Yes" : "No"}: ${each.title}`;
  label.append(box, ` ${what} `);
  const from = document.createElement("span");
  from.className = "quiet";
  from.textContent = `from “${each.words}”`;
  label.append(from);
  line.append(label);
  return [line, () => {
    if (!box.checked) return;
    if (kind === "reading") {
      const fieldset = all("#numbers fieldset[data-path]").find((one) => $("input", one).id === `r.${each.id}`);
      put(fieldset ? fieldset.dataset.path : `readings.${each.id}`, shortEntry(each.entry, fieldset));
    } else answer(each.id, each.present ? "yes" : "no");
  }];
}

function shortEntry(entry, fieldset) {
  const isSetting = fieldset && !fieldset.dataset.path.startsWith("readings.");
  return isSetting ? `${entry.value} ${entry.unit || ""}`.trim() : entry;
}

async function hear() {
  const text = $("#caller").value.trim();
  const place = $("#candidates");
  place.replaceChildren();
  if (!text) return;
  // Kept as they are: a danger in them shows at once, whatever else they mean.
  state.case.said = `${state.case.said || ""}\n${text}`.trim().slice(-4000);
  refresh();
  const heard = await (await post("/api/v1/words", { text, units: state.units })).json();
  const found = [
    ...heard.symptoms.filter((each) => titles.has(each.id)).map((each) => candidate("symptom", each)),
    ...heard.likely.filter((each) => titles.has(each.id)).map((each) => candidate("likely", each)),
    ...heard.readings.map((each) => candidate("reading", each)),
  ];
  if (!found.length) {
    place.textContent = "Nothing known in these words. Ask the next question, or add an answer by hand.";
    return;
  }
  const list = document.createElement("ul");
  list.className = "plain";
  list.append(...found.map(([line]) => line));
  const take = document.createElement("button");
  take.type = "button";
  take.id = "take";
  take.textContent = "Take what is ticked";
  take.addEventListener("click", () => {
    found.forEach(([, apply]) => apply());
    place.replaceChildren();
    $("#caller").value = "";
    fillAll();
    refresh(focusQuestion);
  });
  place.append(list);
  if (heard.unheard.length) {
    const unheard = document.createElement("p");
    unheard.className = "quiet";
    unheard.textContent = `Kept, but not understood: ${heard.unheard.map((each) => `“${each.words}”`).join("; ")}`;
    place.append(unheard);
  }
  place.append(take);
  take.focus();
}

// --- files

function download(name, text) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

async function load(file) {
  try {
    state = { ...fresh(), case: await (await post("/support/case", { text: await file.text() })).json() };
    state.units = state.case.units || "metric";
    fillAll();
    refresh();
  } catch (trouble) {
    refused(trouble.problem || { title: "The file", detail: "cannot be read" });
  }
}

// --- events

function answered(button) {
  const asking = button.closest(".asking");
  const { id, kind } = asking.dataset;
  const said = button.dataset.answer;
  if (kind === "symptom") answer(id, said);
  else if (said === "unknown") state.skipped.push(id);
  else {
    const fieldset = $("fieldset", asking);
    put(fieldset.dataset.path, entryOf(fieldset));
    fillAll();
  }
  showTold();
  refresh(focusQuestion);
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.answer === "none-of-these") {
    all("#ask .asking").forEach((asking) => answer(asking.dataset.id, "no"));
    showTold();
    refresh(focusQuestion);
  } else if (button.dataset.answer) answered(button);
  else if (button.dataset.add) {
    const id = ids.get($("#add").value.trim().toLowerCase());
    if (!id) { refused({ title: "Symptom", detail: "choose one of the list" }); return; }
    answer(id, button.dataset.add);
    $("#add").value = "";
    refresh(() => $("#add").focus());
  } else if (button.id === "hear") hear();
  else if (button.id === "save") download("case.json", `${JSON.stringify(state.case, null, 2)}\n`);
  else if (button.id === "save-result") post("/api/v1/diagnose", state.case).then(async (answer) => download("diagnosis.json", await answer.text()), (trouble) => refused(trouble.problem));
  else if (button.id === "clear") { state = fresh(); fillAll(); refresh(() => $("#caller").focus()); }
  else if (button.id === "copy") {
    $("#summary").select();
    navigator.clipboard.writeText($("#summary").value).then(
      () => { $("#copied").textContent = "copied"; },
      () => { $("#copied").textContent = "selected: press Ctrl+C"; },
    );
  }
});

document.addEventListener("change", (event) => {
  const field = event.target;
  if (field.closest(".asking") || field.closest("#candidates")) return;
  if (field.id === "load") { if (field.files[0]) load(field.files[0]); return; }
  if (field.name === "units") {
    state.units = field.value;
    put("units", field.value === "us" ? "us" : "");
    refresh();
    return;
  }
  const holder = field.closest("[data-path]");
  if (!holder) return;
  if (holder.matches("fieldset")) { if (!$("input", holder).value.trim() && field.name.endsWith(".value") === false) return; put(holder.dataset.path, entryOf(holder)); }
  else put(holder.dataset.path, field.value.trim());
  refresh();
});

document.addEventListener("keydown", (event) => {
  const places = { 1: () => $("#caller"), 2: () => $('[data-panel="next"] .asking input') || $('[data-panel="next"] [data-answer]'), 3: () => $("#numbers fieldset[data-path] input"), 4: () => $("#summary") };
  if (event.altKey && places[event.key]) {
    const place = places[event.key]();
    if (place) { event.preventDefault(); place.focus(); }
    return;
  }
  if (event.target.id === "caller" && event.ctrlKey && event.key === "Enter") { event.preventDefault(); hear(); return; }
  const asking = event.target.closest(".asking");
  if (!asking || event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.target.matches("input") && event.key === "Enter") { event.preventDefault(); answered($('[data-answer="number"]', asking)); return; }
  if (event.target.matches("input, select")) return;
  const said = { y: "yes", n: "no", u: "unknown" }[event.key.toLowerCase()];
  const button = said && $(`[data-answer="${said}"]`, asking);
  if (button) { event.preventDefault(); answered(button); }
});

$("#numbers").addEventListener("submit", (event) => event.preventDefault());
$("#print").addEventListener("submit", () => {
  $("#print [name=state]").value = JSON.stringify({ case: state.case, skipped: state.skipped, trail: [], units: state.units });
});
refresh();
