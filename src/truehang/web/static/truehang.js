// What do pages need of the browser besides htmx? The answer to "why?" in a dialog, the number
// keys of a reading's form, and a word while something takes its time. Pages work without it.
"use strict";

document.addEventListener("htmx:afterSwap", (event) => {
  const why = document.getElementById("why");
  if (event.detail.target.id === "why-body" && !why.open) why.showModal();
});

// The form of the place that was tapped is the target of the address. Its number keys write into
// the number that has the focus: at first the first one that is empty. Where a thumb types, the
// phone's own keyboard would cover them, and stays away.
const NUMBERS = "[data-entry], .field.length input, .field.number input";

function takeKeys() {
  const pad = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const form = pad && pad.querySelector("form[data-keyed]");
  if (!form) return;
  const numbers = Array.from(form.querySelectorAll(NUMBERS));
  for (const other of document.querySelectorAll("[data-begins]")) if (half(other)) other.value = "";
  const entry = form.querySelector("[data-begins]");
  if (entry && !entry.value) type(entry, "");
  const empty = (number) => !number.value || half(number);
  const first = numbers.find((number) => empty(number) && (number.required || number.matches("[data-entry]")));
  if (first) first.focus({ preventScroll: !pad.querySelector(".above").contains(first) });
}
window.addEventListener("hashchange", takeKeys);

// Of a row of tabs that is wider than the screen, the one that is open is in sight.
window.addEventListener("DOMContentLoaded", () => {
  for (const open of document.querySelectorAll(".tabs [aria-current]")) {
    const tabs = open.closest(".tabs");
    const off = open.getBoundingClientRect().left - tabs.getBoundingClientRect().left;
    tabs.scrollLeft += off - (tabs.clientWidth - open.offsetWidth) / 2;
  }
});
window.addEventListener("load", takeKeys);

function entryOf(form) {
  return form.contains(document.activeElement) && document.activeElement.matches(NUMBERS)
    ? document.activeElement
    : form.querySelector("[data-entry]");
}

// A number that stands there already is replaced by what is typed, unless the caret is set.
document.addEventListener("focusin", (event) => {
  if (event.target.matches(NUMBERS)) event.target.select();
});

// Every other number of a page has number keys along the lower edge, where a thumb types: there is a
// minus on them, and feet and inches where the job wants those, which no phone's number pad has.
const thumbs = matchMedia("(pointer: coarse)");
let pageKeys = null;

function noKeyboard() {
  if (!thumbs.matches) return;
  for (const number of document.querySelectorAll(NUMBERS)) number.inputMode = "none";
}
window.addEventListener("DOMContentLoaded", noKeyboard);
document.addEventListener("truehang:refreshed", noKeyboard);

function showKeys(number) {
  const wanted = Boolean(number) && thumbs.matches && !number.closest("form[data-keyed]");
  if (wanted && !pageKeys) {
    pageKeys = document.getElementById("page-keys").content.firstElementChild.cloneNode(true);
    document.body.append(pageKeys);
  }
  if (pageKeys) pageKeys.hidden = !wanted;
  document.body.classList.toggle("keying", wanted);
  if (wanted) number.scrollIntoView({ block: "nearest" });
}
document.addEventListener("focusin", (event) => showKeys(event.target.matches(NUMBERS) ? event.target : null));
document.addEventListener("focusout", (event) => event.relatedTarget || showKeys(null));

function onward(number) {
  const all = Array.from(number.form.querySelectorAll(NUMBERS)).filter((one) => one.checkVisibility());
  return all[all.indexOf(number) + 1];
}

// Enter goes on to the next number, so that a measuring instrument that types like a keyboard fills in
// a table; in the last one it saves. Of the checks of a step, each a form, the next one waits for it.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.matches(NUMBERS)) return;
  const next = onward(event.target);
  if (next) {
    event.preventDefault();
    next.focus();
  } else if (event.target.closest(".check")) sessionStorage.setItem("walks", "yes");
});
window.addEventListener("load", () => {
  const walks = sessionStorage.getItem("walks");
  sessionStorage.removeItem("walks");
  const done = walks && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (!done || !done.matches(".check")) return;
  const checks = Array.from(document.querySelectorAll(".check"));
  const next = checks.slice(checks.indexOf(done) + 1).find((check) => check.querySelector(NUMBERS));
  if (next) next.querySelector(NUMBERS).focus();
});

// A key does not take the focus from the number that it writes into.
for (const pressed of ["pointerdown", "mousedown"]) {
  document.addEventListener(pressed, (event) => {
    if (event.target.closest("[data-key]")) event.preventDefault();
  });
}

// A reading beside one that was taken begins with the same figures: "34__" asks for the last two, and
// whoever types all four means all four. With its blanks in it the number is nobody's, and is never
// saved. A keyboard, or an instrument that types like one, replaces it.
const BLANK = "__";
const typedOf = new WeakMap(); // of such a number: what was typed of it so far

function half(entry) {
  return entry.value.includes("_");
}

function type(entry, text) {
  if (/^\d{3}|'/.test(text)) {
    typedOf.delete(entry); // the whole number
    entry.value = text;
    return;
  }
  typedOf.set(entry, text);
  const blanks = entry.dataset.begins.endsWith(" ") ? (text ? "" : BLANK) : BLANK.slice(text.length);
  entry.value = entry.dataset.begins + text + blanks;
}

function key(entry, what) {
  const text = typedOf.get(entry);
  if (what !== "back") type(entry, text + what);
  else if (text) type(entry, text.slice(0, -1));
  else {
    typedOf.delete(entry);
    entry.value = "";
  }
}

document.addEventListener("input", (event) => {
  const entry = event.target;
  if (!event.isTrusted || !entry.matches("[data-begins]")) return;
  typedOf.delete(entry);
  if (half(entry)) entry.value = event.data || "";
});

// One tap puts a number in: the length of a level, or a small reading that is saved with it.
document.addEventListener("click", (event) => {
  const put = event.target.closest("[data-put]");
  if (!put) return;
  const form = put.closest("form");
  const number = put.dataset.into ? form.elements[put.dataset.into] : form.querySelector("[data-entry]");
  number.value = put.dataset.put;
  number.dispatchEvent(new Event("input", { bubbles: true }));
  if ("save" in put.dataset) form.requestSubmit();
  else form.querySelector("[data-entry]").focus({ preventScroll: true });
});

// Number keys type into the number as a keyboard would.
document.addEventListener("click", (event) => {
  const pressed = event.target.closest("[data-key]");
  if (!pressed) return;
  const entry = pressed.form ? entryOf(pressed.form) : document.activeElement;
  const what = pressed.dataset.key;
  if (what === "next" || what === "done") {
    const next = what === "next" && onward(entry);
    if (next) next.focus();
    else entry.blur();
    return;
  }
  let { selectionStart: from, selectionEnd: to } = entry;
  if (typedOf.has(entry)) key(entry, what);
  else if (what === "sign") {
    entry.value = entry.value.startsWith("-") ? entry.value.slice(1) : "-" + entry.value;
  } else if (what === "back") {
    if (from === to) from = Math.max(0, from - 1);
    entry.setRangeText("", from, to, "end");
  } else entry.setRangeText(what, from, to, "end");
  if (document.activeElement !== entry) entry.focus({ preventScroll: true });
  entry.dispatchEvent(new Event("input", { bubbles: true }));
});

// Nothing is said of a number that is still being typed: what was said of it before goes, and an
// answer that is on its way is not shown when it comes. Only what no further figure can mend is said
// at once.
const strokes = new WeakMap(); // of a form: how often something was typed in it
const askedAt = new WeakMap(); // of a request: how often by then

document.addEventListener("htmx:beforeRequest", (event) => {
  const entry = event.detail.elt.matches("form[data-keyed]") && event.detail.elt.querySelector("[data-entry]");
  if (entry && half(entry)) event.preventDefault();
  askedAt.set(event.detail.xhr, strokes.get(event.detail.elt) || 0);
});
document.addEventListener("htmx:beforeSwap", (event) => {
  const form = event.detail.requestConfig.elt;
  if (form.matches("form[data-keyed]") && askedAt.get(event.detail.xhr) !== (strokes.get(form) || 0)) {
    event.detail.shouldSwap = false;
  }
});

document.addEventListener("input", (event) => {
  const form = event.target.closest("form[data-keyed]");
  if (!form) return;
  strokes.set(form, (strokes.get(form) || 0) + 1);
  const entry = form.querySelector("[data-entry]");
  const most = Number(entry.dataset.most || Infinity);
  const over = event.target === entry && Math.abs(Number(entry.value.replace(",", "."))) > most;
  tell(form, over ? `${entry.value} mm can't be: at most ${most} mm.` : "");
});

function tell(form, text) {
  const place = form.querySelector(".live");
  if (!text) {
    place.replaceChildren();
    return;
  }
  const line = document.createElement("p");
  line.className = "stand stop";
  line.textContent = text;
  place.replaceChildren(line);
}

// A form without its number is not sent: the first that is missing takes the keys.
document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (!form.matches("form[data-keyed]")) return;
    const entry = form.querySelector("[data-entry]");
    if (!half(entry) && (entry.value.trim() || !form.hasAttribute("data-needs-entry"))) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    entry.focus();
    if (half(entry) && typedOf.get(entry)) tell(form, `${entry.value} is not finished: type its last figure, then save.`);
    else tell(form, "Nothing was entered: type the reading, then save.");
  },
  true,
);

// A form that takes its time says so, and can't be sent twice by an impatient thumb.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.method === "dialog") return;
  if (form.hasAttribute("aria-busy")) {
    event.preventDefault();
    return;
  }
  form.setAttribute("aria-busy", "true");
  window.setTimeout(() => form.removeAttribute("aria-busy"), 8000);
});
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[aria-busy]")) form.removeAttribute("aria-busy");
});

// Moments come in UTC and are told in the reader's own time.
const MOMENT = { year: "numeric", month: "short", day: "numeric", hour: "2-digit", minute: "2-digit" };
function localTimes() {
  for (const time of document.querySelectorAll("time[datetime]")) {
    const at = new Date(time.dateTime);
    if (!Number.isNaN(at.getTime())) time.textContent = at.toLocaleString([], MOMENT);
  }
}
window.addEventListener("DOMContentLoaded", localTimes);
document.addEventListener("truehang:refreshed", localTimes);
document.addEventListener("htmx:afterSwap", localTimes);

// A signature is drawn with a finger: its strokes go into the form as they are drawn.
const drawn = (svg) => svg.closest("form").elements[svg.dataset.draw];

function showDrawn(svg) {
  const strokes = drawn(svg).value.split(";").filter((stroke) => stroke.trim());
  svg.querySelector("path").setAttribute("d", strokes.map((stroke) => `M${stroke.trim().replaceAll(",", " ")}`).join(""));
}

function pointIn(svg, event) {
  const box = svg.getBoundingClientRect();
  const { width, height } = svg.viewBox.baseVal;
  const put = (at, from, size, most) => Math.round(Math.min(Math.max((at - from) / size, 0), 1) * most);
  return `${put(event.clientX, box.left, box.width, width)},${put(event.clientY, box.top, box.height, height)}`;
}

function readyToDraw() {
  for (const svg of document.querySelectorAll("[data-draw]")) {
    svg.closest(".draw").hidden = false;
    showDrawn(svg);
  }
}
window.addEventListener("DOMContentLoaded", readyToDraw);
document.addEventListener("truehang:refreshed", readyToDraw);

document.addEventListener("pointerdown", (event) => {
  const svg = event.target.closest("[data-draw]");
  if (!svg) return;
  event.preventDefault();
  svg.setPointerCapture(event.pointerId);
  drawn(svg).value += `${drawn(svg).value ? "; " : ""}${pointIn(svg, event)}`;
  const go = (moved) => {
    drawn(svg).value += ` ${pointIn(svg, moved)}`;
    showDrawn(svg);
  };
  svg.addEventListener("pointermove", go);
  for (const end of ["pointerup", "pointercancel"]) {
    svg.addEventListener(end, () => svg.removeEventListener("pointermove", go), { once: true });
  }
});
document.addEventListener("click", (event) => {
  const clear = event.target.closest("[data-undraw]");
  if (!clear) return;
  const svg = clear.closest(".draw").querySelector("[data-draw]");
  drawn(svg).value = "";
  showDrawn(svg);
});

// The screen stays awake in Build, and while readings are entered.
const wakes = /^\/jobs\/[0-9a-f]+\/(build|measure)(\/|$)/.test(location.pathname) && "wakeLock" in navigator;
let awake = null;
async function stayAwake() {
  if (!wakes || document.hidden || (awake && !awake.released)) return;
  try {
    awake = await navigator.wakeLock.request("screen");
  } catch {
    awake = null; // the phone saves its battery
  }
}
document.addEventListener("visibilitychange", stayAwake);
window.addEventListener("load", stayAwake);
// ---------------------------------------------------------------- papers

// Where the phone has a share sheet that takes files, each paper can be handed to it.
function shareable(root) {
  const sheet = new File(["%PDF"], "a.pdf", { type: "application/pdf" });
  if (!navigator.canShare || !navigator.canShare({ files: [sheet] })) return;
  for (const link of root.querySelectorAll("a[data-share]:not([data-shared])")) {
    link.dataset.shared = "yes";
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain";
    button.textContent = "Share";
    button.setAttribute("aria-label", `Share ${link.textContent}`);
    button.addEventListener("click", () => share(link, button));
    link.after(" ", button);
  }
}

async function share(link, button) {
  button.disabled = true;
  try {
    const answer = await fetch(link.href);
    if (!answer.ok) throw new Error("not to be had");
    const file = new File([await answer.blob()], link.dataset.share, { type: "application/pdf" });
    await navigator.share({ files: [file], title: link.textContent });
  } catch (trouble) {
    if (trouble.name !== "AbortError") button.textContent = "Can't be shared now; open it instead";
  } finally {
    button.disabled = false;
  }
}

document.addEventListener("DOMContentLoaded", () => shareable(document));
document.addEventListener("htmx:afterSettle", () => shareable(document));
