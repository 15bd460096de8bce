// What makes single pages handier: hearing while typing, ticks that stay, remembered units, finding by a word.
const FIELDS = "saltriage.fields", TICKS = "saltriage.ticks", UNITS = "saltriage.units", WORDS = "saltriage.words";

export function kept(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } }
export function keep(key, value) {
  try {
    if (value === null) localStorage.removeItem(key); else localStorage.setItem(key, JSON.stringify(value));
  } catch { /* no room, or forbidden: then nothing is kept */ }
}

const units = () => kept(UNITS) || (navigator.language.endsWith("-US") ? "us" : "metric");

function hearing() {
  const field = document.getElementById("words");
  if (!field) return;
  const shade = document.querySelector(".told .shade"), rows = document.getElementById("heard");
  const button = document.getElementById("go-on"), form = field.form, plain = button.innerHTML, second = field.dataset.second;
  const seen = document.createElement("input"), said = document.createElement("p");
  Object.assign(seen, { type: "hidden", name: "seen", value: "" });
  Object.assign(said, { className: "hush" });
  said.setAttribute("role", "status");
  form.append(seen, said);
  let pieces = [], timer = 0, turn = 0;

  const draw = (parts) => {
    shade.replaceChildren(...parts.map(([text, kind]) => {
      if (!kind) return document.createTextNode(text);
      const mark = document.createElement(kind === "unheard" ? "span" : "mark");
      mark.className = kind;
      mark.textContent = text;
      return mark;
    }), document.createTextNode("\n"));
    field.style.height = "auto";
    field.style.height = `${Math.max(shade.scrollHeight, 116)}px`;
  };

  const typed = () => { // marks of before stay as far as the text is the same
    let at = 0;
    const same = [];
    for (const [text, kind] of pieces) {
      if (!field.value.startsWith(text, at)) break;
      same.push([text, kind]);
      at += text.length;
    }
    draw([...same, [field.value.slice(at), ""]]);
  };

  // Finished words alone go on to the second reader, and danger never waits for it: they are heard here first.
  const hear = async (finished = false) => {
    const text = field.value, mine = ++turn;
    if (!text.trim()) {
      pieces = []; rows.replaceChildren(); button.innerHTML = plain; button.className = "main-button"; seen.value = ""; return;
    }
    const chosen = form.querySelector("[name=units]:checked");
    let heard;
    try {
      const answer = await fetch("/owner/hear", { method: "POST", body: new URLSearchParams({ words: text, units: chosen ? chosen.value : "metric", finished: finished ? "yes" : "" }) });
      if (!answer.ok) return;
      heard = await answer.json();
    } catch { return; } // no line: the page after it shows what was heard
    if (mine !== turn || text !== field.value) return;
    const before = new Map([...rows.querySelectorAll("input, select")].map((each) => [each.name + (each.type === "radio" ? each.value : ""), each.type === "checkbox" || each.type === "radio" ? each.checked : each.value]));
    pieces = heard.pieces;
    draw(pieces);
    rows.innerHTML = heard.rows; // made and escaped by the server
    for (const each of rows.querySelectorAll("input[type=checkbox], input[type=radio]")) {
      const was = before.get(each.name + (each.type === "radio" ? each.value : ""));
      if (was !== undefined) each.checked = was;
    }
    seen.value = finished || !second ? text : ""; // what the second reader has not heard is asked for on the next page
    const things = `${heard.count} ${heard.count === 1 ? "thing" : "things"} heard`;
    said.textContent = heard.danger ? `Danger: ${heard.danger}` : things;
    button.className = heard.danger ? "red-button" : "main-button";
    button.firstChild.textContent = heard.danger ? "See what to do now " : heard.count ? `Go on with ${things} ` : "Go on ";
  };

  field.addEventListener("input", () => {
    keep(WORDS, field.value || null);
    typed();
    clearTimeout(timer);
    seen.value = "";
    timer = setTimeout(hear, 300);
  });
  if (second) {
    field.addEventListener("blur", async (event) => {
      if (event.relatedTarget === button || !field.value.trim() || seen.value === field.value) return;
      clearTimeout(timer);
      await hear();
      said.textContent += ` Asking ${second} as well.`;
      await hear(true);
    });
  }
  if (!field.value && kept(WORDS)) field.value = kept(WORDS);
  if (field.value) { typed(); hear(); }
  form.addEventListener("submit", () => keep(WORDS, null));
}

function ticking() {
  const state = document.querySelector("[name=state]"), done = kept(TICKS) || {};
  for (const row of document.querySelectorAll("[data-ticks] .steps > li")) {
    const label = document.createElement("label"), box = document.createElement("input"), text = row.textContent;
    box.type = "checkbox";
    box.checked = Boolean(done[text]);
    label.append(box, ...row.childNodes);
    row.append(label);
    row.classList.add("ticking");
    box.addEventListener("change", () => {
      const now = kept(TICKS) || {};
      if (box.checked) now[text] = true; else delete now[text];
      keep(TICKS, now);
    });
  }
  if (state && (!state.value || state.value.includes('"case":{}'))) keep(TICKS, null);
}

function handing() {
  const code = document.getElementById("code"), told = document.getElementById("copied");
  const copy = document.querySelector("[data-copy]"), share = document.querySelector("[data-share]");
  if (!code) return;
  const put = async (text) => {
    try { await navigator.clipboard.writeText(text); } catch { code.value = text; code.select(); document.execCommand("copy"); }
    told.textContent = "Copied.";
  };
  copy.hidden = false;
  copy.addEventListener("click", () => put(code.value));
  share.hidden = false;
  share.addEventListener("click", async () => {
    const steps = [...document.querySelectorAll("[data-ticks] .steps > li")].map((row, place) => `${place + 1}. ${row.textContent.trim()}`);
    const title = document.querySelector("h1").textContent, url = `${location.origin}/#${code.value}`;
    const text = [title, ...steps].join("\n");
    if (!navigator.share) { await put(`${text}\n${url}`); return; }
    try { await navigator.share({ title, text, url }); } catch { /* closed without sharing */ }
  });
}

function remembering() {
  const known = kept(FIELDS) || {};
  for (const field of document.querySelectorAll("fieldset.number")) {
    const reading = field.dataset.reading, value = field.querySelector("input");
    for (const select of field.querySelectorAll("select")) {
      const part = select.name.split(".").pop(), word = known[reading] && known[reading][part];
      if (!value.value && word && [...select.options].some((each) => each.value === word)) select.value = word;
      select.addEventListener("change", () => {
        const now = kept(FIELDS) || {};
        keep(FIELDS, { ...now, [reading]: { ...now[reading], [part]: select.value } });
      });
    }
  }
  for (const radio of document.querySelectorAll("[name=units][type=radio]")) {
    radio.addEventListener("change", () => keep(UNITS, radio.value));
  }
  const look = document.querySelector(".look-form");
  if (look && units() === "us" && !look.querySelector("[name=units]")) {
    const hidden = document.createElement("input");
    Object.assign(hidden, { type: "hidden", name: "units", value: "us" });
    look.append(hidden);
  }
}

function finding() {
  const find = document.getElementById("find");
  if (!find) return;
  document.querySelector(".finding").hidden = false;
  const groups = [...document.querySelectorAll(".place-group")], open = groups.map((each) => each.open);
  find.addEventListener("input", () => {
    const words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
    let found = 0;
    groups.forEach((group, place) => {
      let here = 0;
      for (const row of group.querySelectorAll(".pick")) {
        const text = `${group.querySelector("summary").textContent} ${row.querySelector("span").textContent}`.toLowerCase();
        row.hidden = !words.every((word) => text.includes(word));
        here += row.hidden ? 0 : 1;
      }
      group.hidden = here === 0;
      group.open = words.length ? here > 0 : open[place];
      found += here;
    });
    document.getElementById("found").textContent = words.length ? `${found} found` : "";
  });
  find.addEventListener("keydown", (event) => { if (event.key === "Enter") event.preventDefault(); });
}

function fromFile() {
  const saved = document.getElementById("saved-case");
  if (!saved || document.getElementById("saved-file")) return;
  const label = document.createElement("label"), file = document.createElement("input");
  label.className = "big";
  label.textContent = "or choose the file ";
  Object.assign(file, { type: "file", id: "saved-file", accept: ".json,.yaml,.yml" });
  file.addEventListener("change", async () => {
    if (file.files[0] && file.files[0].size < 400000) saved.value = await file.files[0].text();
  });
  label.append(file);
  saved.after(label);
}

export function ready() {
  for (const each of [hearing, ticking, handing, remembering, finding, fromFile]) each();
}
