// What does a phone do without signal? Shows the pages it has kept, and keeps what is entered until
// it can be sent. The server puts KEPT (version, parts) in front of this file.
"use strict";

importScripts("/static/vendor/idb.js");

const PARTS = `truehang-parts-${KEPT.version}`;
const PAGES = "truehang-pages";
const PATIENCE = 4000; // ms that a page may take before the kept one is shown
const TO_TAKE = 15000; // ms that the server may take over an entry before it is kept here too
const MOST_PAGES = 600;
const NEVER_KEPT = /^\/(api|pair|devices|sw\.js)(\/|$)|\/live$/;

const opened = idb.openDB("truehang", 1, {
  upgrade(db) {
    db.createObjectStore("waiting", { keyPath: "n", autoIncrement: true });
    db.createObjectStore("refused", { keyPath: "n" });
  },
});

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(PARTS)
      .then((cache) => cache.addAll(KEPT.parts))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) =>
        Promise.all(names.filter((name) => name !== PARTS && name !== PAGES).map((name) => caches.delete(name))),
      )
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== self.location.origin) return;
  if (event.request.method !== "GET") {
    if (url.pathname !== "/pair" && !url.pathname.startsWith("/devices")) event.respondWith(send(event));
  } else if (url.pathname.startsWith("/static/")) event.respondWith(part(event));
  else if (!NEVER_KEPT.test(url.pathname)) event.respondWith(page(event, url));
});

self.addEventListener("sync", (event) => event.waitUntil(flush()));

self.addEventListener("message", (event) => {
  const { kind, n } = event.data;
  if (kind === "claim") event.waitUntil(self.clients.claim().then(flush));
  if (kind === "flush") event.waitUntil(flush());
  if (kind === "forget") event.waitUntil(opened.then((db) => db.delete("refused", n)).then(tell));
  if (kind === "again") event.waitUntil(again(n).then(flush));
});

// ---------------------------------------------------------------- pages and parts

async function part(event) {
  const kept = await caches.match(event.request, { cacheName: PARTS, ignoreSearch: true });
  if (kept) return kept;
  const response = await fetch(event.request);
  if (response.ok) {
    const copy = response.clone();
    event.waitUntil(caches.open(PARTS).then((cache) => cache.put(event.request, copy)));
  }
  return response;
}

// A part of a page and the whole page may share an address; they are kept apart.
function keyOf(request, url) {
  const key = url.pathname + url.search;
  return request.headers.has("HX-Request") ? `${key}${url.search ? "&" : "?"}part-of-page` : key;
}

async function page(event, url) {
  const cache = await caches.open(PAGES);
  const key = keyOf(event.request, url);
  let failed = null;
  const network = fetch(event.request).then((response) => {
    event.waitUntil(heard(response.status < 500));
    if (response.status >= 500) failed = response;
    if (response.ok) {
      event.waitUntil(store(cache, key, response.clone()).then(() => trim(cache)));
    } else if (response.status === 401 || response.type === "opaqueredirect") {
      event.waitUntil(session());
    }
    if (failed) throw new Error("the server can't answer now"); // as good as no signal
    return response;
  });
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE));
  try {
    const first = await Promise.race([network, late]);
    if (first) return first;
    const kept = await cache.match(key);
    if (!kept) return await network;
    event.waitUntil(network.catch(() => {}));
    return kept;
  } catch {
    event.waitUntil(heard(false));
    const whole = event.request.mode === "navigate";
    return (
      (await cache.match(key)) ||
      failed ||
      (whole && ((await cache.match(url.pathname)) || (await caches.match("/no-signal")))) ||
      new Response("No signal, and this was not opened before.", { status: 503 })
    );
  }
}

// A page that only leads on to another is kept as that.
async function store(cache, key, response) {
  if (!response.redirected) return cache.put(key, response);
  const to = new URL(response.url);
  if (to.origin !== self.location.origin || NEVER_KEPT.test(to.pathname)) return undefined;
  const { status, headers } = response;
  await cache.put(to.pathname + to.search, new Response(await response.blob(), { status, headers }));
  return cache.put(key, Response.redirect(to.href, 302));
}

async function trim(cache) {
  const keys = await cache.keys();
  for (const key of keys.slice(0, Math.max(0, keys.length - MOST_PAGES))) await cache.delete(key);
}

// ---------------------------------------------------------------- what is entered

// What may be kept and sent later says so. The rest is a matter of now or not.
async function queued(request) {
  if (new URL(request.url).pathname.endsWith("/live")) return false; // a trial, not a write
  if (request.headers.has("X-Queue")) return true;
  const form = (request.headers.get("Content-Type") || "").includes("form");
  return form && (await request.formData()).has("queue");
}

// An answer of 500 or more, or none in time, is as good as no signal. What was done all the same is
// not done again: each entry has a name of its own.
async function send(event) {
  const copy = event.request.clone();
  const later = await queued(copy.clone());
  if (later && (await waiting()) && !(await flush())) return keep(event, copy); // what came first goes first
  try {
    const network = fetch(event.request);
    const response = later ? await inTime(network) : await network;
    event.waitUntil(heard(response.status < 500));
    if (!later || response.status < 500) return response;
  } catch {
    event.waitUntil(heard(false));
    if (!later) return refusal(copy);
  }
  return keep(event, copy);
}

function inTime(network) {
  network.catch(() => {}); // where it fails after all this time nobody waits for it
  return Promise.race([network, new Promise((_, late) => setTimeout(() => late(new Error("no answer in time")), TO_TAKE))]);
}

async function waiting() {
  return (await opened).count("waiting");
}

async function keep(event, request) {
  const type = request.headers.get("Content-Type") || "";
  const body = await request.clone().arrayBuffer();
  const fields = type.includes("form") ? await request.formData() : new FormData();
  const url = new URL(request.url);
  const entered = [...fields].filter(([name]) => !["csrf", "op", "base", "queue"].includes(name));
  const item = {
    url: url.pathname + url.search,
    method: request.method,
    type,
    body,
    job: (url.pathname.match(/^(?:\/api)?\/jobs\/([0-9a-f]{32})/) || [])[1] || "",
    op: fields.get("op") || "",
    base: fields.get("base") || "",
    said: entered.map(([name, value]) => [name, typeof value === "string" ? value : value.name]),
    at: Date.now(),
  };
  await (await opened).add("waiting", item);
  await tell();
  if (self.registration.sync) await self.registration.sync.register("flush").catch(() => {});
  if (request.mode !== "navigate") return new Response(null, { status: 204, headers: { "X-Kept": "yes" } });
  return Response.redirect(request.referrer || (item.job ? `/jobs/${item.job}` : "/"), 303);
}

function refusal(request) {
  if (new URL(request.url).pathname.endsWith("/live")) return new Response(null, { status: 204 }); // a trial, not a write
  const text = "This needs signal, and a server that answers. Go back, and try again when there is; sent twice it is done once.";
  const page = `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>No signal · Truehang</title><link rel="stylesheet" href="/static/truehang.css"><main id="main"><h1>No signal</h1><p>${text}</p></main></html>`;
  const whole = request.mode === "navigate";
  const headers = { "Content-Type": whole ? "text/html" : "text/plain" };
  return new Response(whole ? page : text, { status: 503, headers });
}

// The token for changes, null where there is none to be had. A device whose access was taken away
// forgets the pages; what it has not sent yet it keeps.
async function session() {
  const response = await fetch("/api/session", { cache: "no-store", signal: AbortSignal.timeout(TO_TAKE) });
  if (response.status === 401) await caches.delete(PAGES);
  return response.ok ? response.json() : null;
}

// Sends what waits, in the order in which it was entered. True where nothing waits any more.
function flush() {
  return navigator.locks.request("truehang-flush", async () => {
    const db = await opened;
    try {
      const none = !(await db.count("waiting"));
      if (none && signal) return true;
      const here = await session();
      if (!here) return none;
      const stuck = new Set(); // jobs of which an entry can't be taken: what was entered after it waits too
      for (const n of await db.getAllKeys("waiting")) {
        const item = await db.get("waiting", n);
        if (stuck.has(item.job)) continue;
        const response = await fetch(item.url, {
          signal: AbortSignal.timeout(2 * TO_TAKE),
          method: item.method,
          headers: { "Content-Type": item.type, "X-CSRF-Token": here.csrf, "X-Queued": "yes" },
          body: based(item),
          redirect: "manual",
        });
        if (response.type === "opaqueredirect" || response.ok) {
          await db.delete("waiting", n);
          await rebase(db, item);
        } else if (response.status === 500) {
          stuck.add(item.job); // the fault may lie in what this entry does; other jobs go on
        } else if (response.status === 401 || response.status === 429 || response.status > 500) {
          await heard(response.status < 500);
          return false;
        } else {
          item.reason = { type: response.headers.get("Content-Type") || "", text: (await response.text()).slice(0, 200000) };
          await db.put("refused", item);
          await db.delete("waiting", n);
        }
      }
      await heard(true);
      return stuck.size === 0;
    } catch {
      await heard(false);
      return false;
    } finally {
      await tell();
    }
  });
}

function based(item) {
  if (!item.base || !item.type.includes("urlencoded")) return item.body;
  const fields = new URLSearchParams(new TextDecoder().decode(item.body));
  fields.set("base", item.base);
  return fields.toString();
}

// Two entries made from the same kept page would look like two people's. Where the first became the
// very next revision, nobody came between, and what is entered after it was made after it.
async function rebase(db, item) {
  if (!item.base || !item.op || !item.job) return;
  const response = await fetch(`/api/jobs/${item.job}/ops/${item.op}`);
  if (!response.ok) return;
  const { number } = await response.json();
  if (number !== Number(item.base) + 1) return;
  for (const later of await db.getAll("waiting")) {
    if (later.job === item.job && later.base === item.base) {
      await db.put("waiting", { ...later, base: String(number) });
    }
  }
}

async function again(n) {
  const db = await opened;
  const item = await db.get("refused", n);
  if (!item) return;
  delete item.reason;
  await db.put("waiting", item);
  await db.delete("refused", n);
}

// ---------------------------------------------------------------- what the pages are told

let signal = true;

async function heard(now) {
  if (now === signal) return;
  signal = now;
  await tell();
}

async function tell() {
  const db = await opened;
  const short = ({ n, job, url, said, at, reason }) => ({ n, job, url, said, at, reason });
  const told = {
    kind: "state",
    signal,
    waiting: (await db.getAll("waiting")).map(short),
    refused: (await db.getAll("refused")).map(short),
  };
  for (const client of await self.clients.matchAll()) client.postMessage(told);
}
