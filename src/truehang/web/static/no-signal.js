// What can be opened without signal? The jobs whose pages the worker has kept on this device.
"use strict";

async function keptJobs() {
  const cache = await caches.open("truehang-pages");
  const found = [];
  for (const request of await cache.keys()) {
    const { pathname, search } = new URL(request.url);
    if (!/^\/jobs\/[0-9a-f]{32}$/.test(pathname) || search) continue;
    const response = await cache.match(request);
    const page = new DOMParser().parseFromString(await response.text(), "text/html");
    const name = page.querySelector(".jobname a");
    found.push([pathname, name ? name.textContent : page.title]);
  }
  return found.sort((one, other) => one[1].localeCompare(other[1]));
}

// A link to the list of jobs only where that is kept: else it would lead back here.
async function show() {
  const jobs = await keptJobs();
  if (await caches.match("/", { cacheName: "truehang-pages" })) jobs.push(["/", "The list of all jobs, as it was"]);
  if (!jobs.length) return;
  document.getElementById("jobs").replaceChildren(
    ...jobs.map(([href, text]) => {
      const item = document.createElement("li");
      const link = Object.assign(document.createElement("a"), { href, textContent: text });
      item.append(link);
      return item;
    }),
  );
}

if ("caches" in window) show();
