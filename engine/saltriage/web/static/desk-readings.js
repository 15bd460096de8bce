// The grid of readings: typed numbers to entries of the case and back, ranges, refusals, units.

import * as store from "./desk-store.js";
import { SIGNS, at, caseOf, put, remember, signOf } from "./desk-call.js";
import { $, all, desk, keepSoon, make, on, tell } from "./desk-page.js";
import { act, refusals } from "./desk-panels.js";

const grid = $("#numbers");
const rows = all(".d-row", grid);

// A number as a case has it: a comma before the last digits is a point, one before three digits of a large number is not.
export function plainNumber(text, path) {
  const value = text.replace(/[\s'’]/g, "");
  if (/^\d{1,3}(,\d{3})+(\.\d+)?$/.test(value) && LARGE.has(path)) return value.replaceAll(",", "");
  if (/^\d{1,3}(\.\d{3})+$/.test(value) && LARGE.has(path) && !/^0/.test(value)) return value.replaceAll(".", "");
  return value.replace(/^(-?\d*),(\d+)$/, "$1.$2");
}
// Readings of which nobody tells three decimals: what is believed of them goes beyond 1,000 in their first unit.
const LARGE = new Set(rows.filter((row) => Number((row.dataset.plausible.match(/to ([\d,.]+)/) || ["", "0"])[1].replaceAll(",", "")) >= 1000).map((row) => row.dataset.path));

export function entryOf(row) {
  const { path } = row.dataset;
  const [, told, digits] = /^((?:[<>]=?|[≤≥]|[a-z][a-z ]*(?=[\d.]))?)\s*(.*)$/is.exec($("input", row).value.trim());
  const bound = SIDES[told.trim().toLowerCase()];
  const value = plainNumber(digits, path);
  const unit = ($(".d-unit", row) || { value: "" }).value;
  const method = ($(".d-method", row) || { value: "" }).value;
  if (!value) return "";
  const plain = /^(\d+\.?\d*|\.\d+)$/.test(value) && (bound || !told);
  const text = `${bound ? SIGNS[bound] : told && `${told.trim()} `}${value} ${unit}`.trim();
  if (!plain || !path.startsWith("readings.")) return text;
  if (!method) return unit || bound ? text : Number(value);
  return { value: Number(value), ...(unit ? { unit } : {}), method, ...(bound ? { bound } : {}) };
}

// A number told as a limit only; other words are the server's to read or to refuse.
const SIDES = { "<": "below", "<=": "below", "≤": "below", under: "below", below: "below", ">": "above", ">=": "above", "≥": "above", over: "above", above: "above" };

// What an entry of the case looks like in a row: number, unit, method.
function shown(entry) {
  if (entry && typeof entry === "object") return [`${signOf(entry)}${entry.value ?? ""}`, entry.unit || "", entry.method || ""];
  const [, number, unit] = /^(\D*\S*)\s*(.*)$/s.exec(entry === undefined ? "" : String(entry));
  return [number, unit, ""];
}

function fill(row, data) {
  if (row.contains(document.activeElement)) return; // never under the hands of who types
  const { path, row: id } = row.dataset;
  const entry = at(data, path);
  const [number, unit, method] = shown(desk.call.draft[path] ?? entry);
  $("input", row).value = number;
  const units = $(".d-unit", row);
  if (units) choose(units, unit || desk.first[desk.call.units][id]);
  const methods = $(".d-method", row);
  if (methods) methods.value = method;
  row.dataset.from = entry !== undefined && at(desk.call.facts, path) === undefined ? "heard" : "";
}

function choose(units, unit) {
  if (unit && ![...units.options].some((option) => option.value === unit)) units.add(new Option(unit, unit));
  units.value = unit || units.options[0].value;
}

// The fields of an asked reading begin with what is known of it.
export function fillAsked(asked) {
  const [number, unit, method] = shown(at(caseOf(desk.call), asked.dataset.path));
  $("input", asked).value = number;
  if ($(".d-unit", asked)) choose($(".d-unit", asked), unit || desk.first[desk.call.units][asked.dataset.reading]);
  if ($(".d-method", asked)) $(".d-method", asked).value = method;
}

export function fillAll() {
  const data = caseOf(desk.call);
  rows.forEach((row) => fill(row, data));
  all("[data-fact]").forEach((field) => { if (field !== document.activeElement) field.value = at(desk.call.facts, field.dataset.fact) || ""; });
  all("[data-units]").forEach((each) => each.setAttribute("aria-pressed", String(each.dataset.units === desk.call.units)));
}

on("told", fillAll);
on("filled", fillAll);

// --- typing

// What is being typed is kept, but counts only when the field is left: half a number is another number.
grid.addEventListener("input", (event) => {
  const row = event.target.closest(".d-row");
  if (!row) return;
  desk.call.draft[row.dataset.path] = { value: $("input", row).value, unit: ($(".d-unit", row) || {}).value, method: ($(".d-method", row) || {}).value };
  keepSoon();
});

grid.addEventListener("change", (event) => {
  const row = event.target.closest(".d-row");
  const { fact } = event.target.dataset;
  if (fact) {
    remember(desk.call);
    put(desk.call.facts, fact, event.target.value.trim());
    act();
  } else if (row) taken(row);
});

function taken(row) {
  const { path } = row.dataset;
  const entry = entryOf(row);
  delete desk.call.draft[path];
  if (JSON.stringify(entry) === JSON.stringify(at(caseOf(desk.call), path) ?? "")) return;
  remember(desk.call);
  refusals.delete(path);
  refusedSigns();
  put(desk.call.facts, path, entry);
  if (entry === "") desk.call.dropped[path] = true;
  desk.call.last = `${$(".d-what", row).textContent} ${$("input", row).value.trim() || "taken out"}`;
  act();
}

// Numbers that were being typed when the page was left count once it is open again.
export function takeDrafts() {
  for (const row of rows) {
    if (!desk.call.draft[row.dataset.path]) continue;
    fill(row, {});
    taken(row);
  }
}

grid.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches(".d-value")) return;
  event.preventDefault();
  const values = all(".d-value", grid).filter((each) => each.offsetParent);
  const next = values[values.indexOf(event.target) + 1];
  if (next) next.focus();
  else event.target.blur();
});

grid.addEventListener("focusin", (event) => {
  const row = event.target.closest(".d-row");
  $("#plausible").textContent = row ? `${row.dataset.plausible}${$(".d-method", row) && !$(".d-method", row).value ? "; no method: widest error" : ""}` : "";
});
grid.addEventListener("focusout", () => { $("#plausible").textContent = ""; });
grid.addEventListener("submit", (event) => event.preventDefault());

// --- what comes back

on("rows", (piece) => {
  for (const row of rows) {
    const told = $(`[data-row="${row.dataset.row}"]`, piece);
    const place = $(".d-wants", row);
    const html = told ? told.innerHTML : "";
    if (place.dataset.was !== html) {
      place.dataset.was = html;
      place.replaceChildren(...(told ? told.childNodes : []));
    }
    row.dataset.verdict = told ? told.dataset.verdict : "";
    row.title = told ? [told.title, told.dataset.far].filter(Boolean).join("; ") : "";
    const off = told && ["below", "above"].includes(told.dataset.verdict);
    const value = $("input", row);
    if (off) value.setAttribute("aria-description", told.dataset.far);
    else value.removeAttribute("aria-description");
  }
});

export function refusedSigns() {
  all("[aria-invalid]", grid).forEach((field) => field.removeAttribute("aria-invalid"));
  const lines = [...refusals].map(([path, why]) => {
    const row = rows.find((each) => each.dataset.path === path);
    if (row) $("input", row).setAttribute("aria-invalid", "true");
    return make("li", { textContent: `${row ? $(".d-what", row).textContent : path}: ${why} Not counted.` });
  });
  $("#refused").replaceChildren(...lines);
}
on("refused", refusedSigns);

// --- units

all("[data-units]").forEach((button) => button.addEventListener("click", () => {
  const { units } = button.dataset;
  store.choose({ units });
  desk.call.units = units;
  put(desk.call.facts, "units", units === "us" ? "us" : "");
  act();
  tell("filled");
}));
