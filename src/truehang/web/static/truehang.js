// What do pages need of the browser besides htmx? The answer to "why?" in a dialog, the number
// keys of a reading's form, and a word while something takes its time. Pages work without it.
"use strict";

document.addEventListener("htmx:afterSwap", (event) => {
  const why = document.getElementById("why");
  if (event.detail.target.id === "why-body" && !why.open) why.showModal();
});

// The form of the place that was tapped is the target of the address; its entry takes the keys.
function takeKeys() {
  const pad = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const entry = pad && pad.querySelector("[data-first] input, [data-entry]");
  if (entry) entry.focus({ preventScroll: true });
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

// Number keys type into the entry beside them as a keyboard would.
document.addEventListener("click", (event) => {
  const key = event.target.closest("[data-key]");
  if (!key) return;
  const entry = key.form.querySelector("[data-entry]");
  const what = key.dataset.key;
  if (what === "back") entry.value = entry.value.slice(0, -1);
  else if (what === "sign") {
    entry.value = entry.value.startsWith("-") ? entry.value.slice(1) : "-" + entry.value;
  } else entry.value += what;
  entry.dispatchEvent(new Event("input", { bubbles: true }));
});

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
