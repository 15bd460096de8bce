// The line to the kept desk: each request says for whom this page was made, and the desk answers nobody else's.

import { isEmpty } from "./desk-call.js";
import { desk, keepNow } from "./desk-page.js";

const DESK = "/api/v1/desk";
const REST = 10_000; // ms
const agent = encodeURIComponent(document.body.dataset.agent);

export function sent(method, path, body, more = {}) {
  const headers = { "Saltriage-Agent": agent, ...(body && { "Content-Type": "application/json" }) };
  return fetch(DESK + path, { method, headers, body: body && JSON.stringify(body), ...more });
}

export async function asked(method, path, body) {
  const answer = await sent(method, path, body);
  const told = (answer.headers.get("content-type") || "").includes("json") ? await answer.json() : {};
  if (answer.ok) return told;
  if (answer.status === 401) signIn();
  // Another signed in beside this page, in the same browser: it becomes his, without the call that is open in it.
  if ((told.type || "").endsWith("/another-agent")) leave(location.pathname);
  throw Object.assign(new Error("refused"), { status: answer.status, problem: told });
}

// Whoever has signed in comes back to the call that was open.
function signIn() {
  const here = isEmpty(desk.call) && !desk.call.kept ? "" : `#${desk.call.id}`;
  leave(`/login?next=${encodeURIComponent(location.pathname + here)}`);
}

// What was typed is kept in this browser first.
let leaving = 0; // when this page was last sent away
function leave(address) {
  if (leaving && performance.now() - leaving < REST) return; // several requests are refused at once
  leaving = performance.now();
  keepNow();
  location.assign(address);
}
