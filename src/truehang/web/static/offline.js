// How does a page stand with the server? Keeps the job for when there is no signal, says what waits
// to be sent, and shows what another device changed. Pages work without it.
"use strict";

const job = document.body.dataset.job;
const place = document.getElementById("link-state");
const state = { signal: true, waiting: [], refused: [], conflicts: 0, newer: 0, stale: null };

// ---------------------------------------------------------------- what is entered

// A kept page may be sent from more than once: each time is a write of its own.
function freshOp() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
}

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.matches("form[data-queue]") || form.dataset.sent) return;
    if (form.elements.op) form.elements.op.value = freshOp();
    if (!form.elements.queue) form.append(hidden("queue", "yes"));
  },
  true,
);

document.addEventListener("htmx:configRequest", (event) => {
  const form = event.detail.elt.closest("form[data-queue]");
  if (!form || event.detail.verb === "get" || event.detail.path !== form.getAttribute("action")) return;
  event.detail.parameters.op = freshOp();
  event.detail.parameters.queue = "yes";
});

function hidden(name, value) {
  const field = document.createElement("input");
  Object.assign(field, { type: "hidden", name, value });
  return field;
}

// ---------------------------------------------------------------- what the link is like

function show() {
  const lines = [];
  if (!state.signal) {
    lines.push(say("p", "No signal, or the server does not answer. Readings, checks and photos that you enter are kept on this device and sent when it is back."));
  }
  if (state.waiting.length) {
    const count = state.waiting.length === 1 ? "1 entry waits" : `${state.waiting.length} entries wait`;
    lines.push(listing(`${count} to be sent`, state.waiting.map((item) => say("li", told(item)))));
  }
  for (const item of state.refused) lines.push(refused(item));
  if (state.conflicts) {
    const line = say("p", state.conflicts === 1 ? "Two devices gave different values: " : `${state.conflicts} values were given differently by two devices: `);
    const link = say("a", "look at both and decide");
    link.href = `/jobs/${job}/conflicts`;
    line.append(link);
    lines.push(line);
  }
  if (state.stale && state.signal) {
    const since = state.stale.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    lines.push(say("p", `What others change is not told just now: since ${since} this page may be out of date. It catches up by itself.`));
  }
  if (state.newer) {
    const line = say("p", `Revision ${state.newer} was made on another device. `);
    line.append(button("Show it", () => location.reload()));
    lines.push(line);
  }
  fill();
  place.classList.toggle("notice", lines.length > 0);
  place.replaceChildren(...lines);
}

function say(tag, text) {
  const made = document.createElement(tag);
  made.textContent = text;
  return made;
}

function button(text, action) {
  const made = say("button", text);
  made.type = "button";
  made.addEventListener("click", action);
  return made;
}

function listing(title, rows) {
  const made = document.createElement("details");
  const list = document.createElement("ul");
  list.append(...rows);
  made.append(say("summary", title), list);
  return made;
}

function told(item) {
  const words = item.said.filter(([, value]) => value).map(([name, value]) => `${name.replaceAll(/[._]/g, " ")} ${value}`);
  return `${new Date(item.at).toLocaleTimeString()}: ${words.join(", ") || item.url}`;
}

function reasonOf({ type, text }) {
  if (type.includes("json")) {
    try {
      return String(JSON.parse(text).detail);
    } catch {
      return text;
    }
  }
  if (!type.includes("html")) return text;
  const page = new DOMParser().parseFromString(text, "text/html");
  const words = (page.querySelector("[role=alert]") || page.querySelector("main") || page.body).textContent;
  return words.replaceAll(/\s+/g, " ").trim();
}

function refused(item) {
  const made = say("p", `Not taken: ${told(item)}. ${reasonOf(item.reason)} `);
  made.append(
    button("Send it again", () => ask("again", item.n)),
    " ",
    button("Forget it", () => ask("forget", item.n)),
  );
  return made;
}

// A kept page does not know what was entered in it since; its forms are shown it again.
const FIXED = new Set(["csrf", "op", "base", "queue"]);

function fill() {
  for (const note of document.querySelectorAll("[data-waits]")) note.remove();
  for (const item of state.waiting) {
    const values = new Map(item.said);
    for (const form of document.querySelectorAll(`form[data-queue][action="${item.url}"]`)) {
      const fields = Array.from(form.elements).filter((field) => field.name && !FIXED.has(field.name));
      const same = fields.every((field) => field.type !== "hidden" || field.value === (values.get(field.name) ?? ""));
      if (!same || form.contains(document.activeElement)) continue;
      for (const field of fields) {
        if (field.type === "checkbox" || field.type === "radio") field.checked = values.get(field.name) === field.value;
        else if (field.type !== "file" && values.has(field.name)) field.value = values.get(field.name);
      }
      const note = say("p", "Kept on this device; waits to be sent.");
      note.dataset.waits = "";
      form.prepend(note);
      form.dataset.filled = "yes";
    }
  }
}

function unfill() {
  for (const form of document.querySelectorAll("form[data-filled]")) {
    delete form.dataset.filled;
    if (!form.contains(document.activeElement)) form.reset();
  }
}

async function countConflicts() {
  if (!job || !navigator.onLine) return;
  try {
    const response = await fetch(`/api/jobs/${job}/conflicts`);
    if (response.ok) state.conflicts = (await response.json()).length;
  } catch {
    return; // no signal: what was known stands
  }
  show();
}

// ---------------------------------------------------------------- the worker

async function ask(kind, n) {
  const registration = await navigator.serviceWorker.ready;
  registration.active.postMessage({ kind, n });
}

if ("serviceWorker" in navigator) {
  navigator.serviceWorker.addEventListener("message", (event) => {
    if (event.data.kind !== "state") return;
    const sent = state.waiting.length && !event.data.waiting.length;
    Object.assign(state, { signal: event.data.signal, waiting: event.data.waiting, refused: event.data.refused });
    show();
    if (sent) {
      unfill();
      countConflicts();
      refresh(Number(document.body.dataset.revision));
    }
  });
  navigator.serviceWorker.startMessages();
  navigator.serviceWorker.register("/sw.js");
  // A page that was on its way while the worker began is not in its hands yet; it asks to be.
  if (navigator.serviceWorker.controller) setTimeout(keepJob, 3000);
  else navigator.serviceWorker.addEventListener("controllerchange", () => setTimeout(keepJob, 1000), { once: true });
  ask(navigator.serviceWorker.controller ? "flush" : "claim");
  window.addEventListener("online", () => ask("flush"));
  document.addEventListener("visibilitychange", () => document.hidden || ask("flush"));
  setInterval(() => (state.waiting.length || !state.signal) && ask("flush"), 10000);
}
window.addEventListener("offline", () => {
  state.signal = false;
  show();
});

// Opens every page of the job once, so that the worker has it. Files, reasons and looks at options
// are left out; those that were opened are kept too. The newest page of the history is taken in, and
// the list of jobs, where the mark at the top of every page leads.
const LEFT_OUT = /\/(issued|photos|packs|why|live|history|look)|\.(yaml|glb|ifc|zip|pdf)$/;
const MOST = 200;

async function keepJob() {
  if (!job || !navigator.serviceWorker.controller) return;
  const mark = `${job} ${document.body.dataset.revision}`;
  const told = JSON.parse(sessionStorage.getItem("kept") || "{}");
  const seen = new Set(told.mark === mark ? told.seen : []);
  const here = [`=/jobs/${job}`, `=/jobs/${job}/history`, "=/", ...addresses(document)];
  const todo = here.filter((key) => !seen.has(key));
  while (todo.length && seen.size < MOST) {
    const key = todo.shift();
    if (seen.has(key)) continue;
    seen.add(key);
    const [how, address] = [key.slice(0, 1), key.slice(1)];
    try {
      const response = await fetch(address, { headers: how === "~" ? { "HX-Request": "true" } : { Accept: "text/html" } });
      if (response.ok && how === "=") {
        const page = new DOMParser().parseFromString(await response.text(), "text/html");
        todo.push(...addresses(page));
      }
    } catch {
      return; // no signal: go on another time
    }
    sessionStorage.setItem("kept", JSON.stringify({ mark, seen: [...seen] }));
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  document.documentElement.dataset.kept = mark;
}

// "=" before the address of a page, "~" before that of a part of one.
function addresses(page) {
  const ours = (address) => address && address.startsWith(`/jobs/${job}`) && !LEFT_OUT.test(address);
  const clean = (address) => address.split("#")[0];
  const links = Array.from(page.querySelectorAll("a[href]:not([download])"), (a) => a.getAttribute("href"));
  const parts = Array.from(page.querySelectorAll("[hx-get]"), (a) => a.getAttribute("hx-get"));
  return [
    ...new Set([
      ...links.filter(ours).map((address) => `=${clean(address)}`),
      ...parts.filter(ours).map((address) => `~${clean(address)}`),
    ]),
  ];
}

// ---------------------------------------------------------------- what others change

const SILENT = 40000; // ms; the server says every 15 s that it is still there
const GRACE = 4000; // ms that a stream may be broken before anybody is told
let stream = null;
let last = null;
let heardAt = 0;
let wait = 2000;
let doubt = 0;

function listen() {
  if (!job || stream || document.hidden || !navigator.onLine) return;
  stream = new EventSource(`/jobs/${job}/live`);
  heardAt = Date.now();
  stream.addEventListener("state", (event) => {
    fresh();
    const now = JSON.parse(event.data);
    const changed = now.revision > Number(document.body.dataset.revision) || (last !== null && now.records !== last);
    last = now.records;
    if (changed) refresh(now.revision);
  });
  stream.addEventListener("still", fresh);
  stream.addEventListener("away", outOfDate);
  stream.addEventListener("error", () => {
    if (!doubt) doubt = setTimeout(outOfDate, GRACE);
    // A browser opens a stream again that broke off, but not one that was answered with a trouble.
    if (stream && stream.readyState === EventSource.CLOSED) reopen();
  });
}

function reopen() {
  if (stream) stream.close();
  stream = null;
  setTimeout(listen, wait);
  wait = Math.min(2 * wait, 30000);
}

function fresh() {
  clearTimeout(doubt);
  doubt = 0;
  wait = 2000;
  const before = state.stale;
  state.stale = null;
  heardAt = Date.now();
  if (before) show();
}

function outOfDate() {
  clearTimeout(doubt);
  doubt = 0;
  if (state.stale) return;
  state.stale = new Date(heardAt);
  show();
}

setInterval(() => {
  if (!stream || Date.now() - heardAt < SILENT) return;
  outOfDate();
  reopen();
}, 5000);

window.addEventListener("online", listen);
document.addEventListener("visibilitychange", () => {
  if (document.hidden && stream) {
    stream.close();
    stream = null;
  } else listen();
});

function busy() {
  const at = document.activeElement;
  const dirty = Array.from(document.querySelectorAll("main input:not([type=hidden]), main textarea")).some((field) =>
    field.type === "checkbox" || field.type === "radio" ? field.checked !== field.defaultChecked : field.value !== field.defaultValue,
  );
  return dirty || at.matches("input, textarea, select") || document.querySelector("dialog[open], form[aria-busy]");
}

// Puts the newest page in place of this one; where someone is at work in it, only says so.
async function refresh(revision) {
  if (busy()) {
    if (revision > Number(document.body.dataset.revision)) state.newer = revision;
    show();
    return;
  }
  const response = await fetch(location.href, { headers: { Accept: "text/html" } }).catch(() => null);
  if (!response || !response.ok) return;
  const page = new DOMParser().parseFromString(await response.text(), "text/html");
  const fresh = page.getElementById("main");
  if (!fresh || busy()) return;
  const at = window.scrollY;
  document.getElementById("main").replaceWith(document.adoptNode(fresh));
  const name = document.querySelector(".jobname");
  const freshName = page.querySelector(".jobname");
  if (name && freshName) name.replaceWith(document.adoptNode(freshName));
  document.body.dataset.revision = page.body.dataset.revision;
  if (window.htmx) window.htmx.process(fresh);
  window.scrollTo(0, at);
  state.newer = 0;
  countConflicts();
  document.dispatchEvent(new CustomEvent("truehang:refreshed"));
}

listen();
countConflicts();
