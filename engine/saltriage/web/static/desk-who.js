// Who calls, when to ring back, the notes: their fields, filled from the call and never under the hands of who types.

import { $, desk } from "./desk-page.js";

// Who calls: fields of the head, and of the line below it.
export const FIELDS = { name: $("#case-title"), phone: $("#phone"), address: $("#address") };

export function fillWho() {
  for (const [key, field] of Object.entries(FIELDS)) if (field !== document.activeElement && field.value !== desk.call.person[key]) field.value = desk.call.person[key];
  const ring = $("#ring");
  if (ring !== document.activeElement) ring.value = desk.call.ringBack ? localField(new Date(desk.call.ringBack)) : "";
  const notes = $("#notes");
  if (notes.value !== desk.call.notes) withCaret(notes, desk.call.notes, () => { notes.value = desk.call.notes; });
}

const localField = (date) => new Date(date.getTime() - date.getTimezoneOffset() * 60_000).toISOString().slice(0, 16);

// A text that grew by what another wrote keeps the caret where one types.
export function withCaret(field, text, fill) {
  const focused = field === document.activeElement;
  const after = field.value.slice(field.selectionEnd);
  const place = text.endsWith(after) ? text.length - after.length : Math.min(field.selectionEnd, text.length);
  fill();
  if (focused) field.setSelectionRange(place, place);
}
