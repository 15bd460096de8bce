// With script on, steps change in place; everything works without it.
"use strict";

async function send(form, submitter) {
  const body = new URLSearchParams(new FormData(form, submitter));
  const answer = await fetch(form.action, { method: "POST", body });
  if (!answer.ok) throw new Error(String(answer.status));
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.querySelector("main");
  if (!fresh) throw new Error("no page");
  document.querySelector("main").replaceWith(fresh);
  document.title = page.title;
  ready();
  const target = fresh.querySelector(".troubles") || fresh.querySelector("h1");
  target.setAttribute("tabindex", "-1");
  target.focus({ preventScroll: true });
  window.scrollTo(0, 0);
}

function ready() {
  const saved = document.getElementById("saved-case");
  if (saved && !document.getElementById("saved-file")) {
    const label = document.createElement("label");
    label.className = "big";
    label.textContent = "or choose the file ";
    const file = document.createElement("input");
    file.type = "file";
    file.id = "saved-file";
    file.accept = ".json,.yaml,.yml";
    file.addEventListener("change", async () => {
      if (file.files[0] && file.files[0].size < 400000) saved.value = await file.files[0].text();
    });
    label.append(file);
    saved.after(label);
  }
}

document.addEventListener("submit", (event) => {
  const submitter = event.submitter;
  if (submitter && submitter.hasAttribute("formaction")) return; // a download or the page to print
  event.preventDefault();
  const form = event.target;
  send(form, submitter).catch(() => {
    if (submitter && submitter.name) {
      const chosen = document.createElement("input");
      chosen.type = "hidden";
      chosen.name = submitter.name;
      chosen.value = submitter.value;
      form.append(chosen);
    }
    form.submit(); // as without script, so that the reader sees what the server says
  });
});
ready();
