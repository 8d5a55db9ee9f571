{% load static %}// Keeps an athlete's own pages, and what they are made of, for when there is no connection. Nothing else of the site.

const SCOPE = "{{ scope|escapejs }}";
const SHELL = "dosewright-shell";
const PAGES = "dosewright-pages:";
const PARTS = [
  "{% static 'console/paper.css' %}", "{% static 'console/my.css' %}", "{% static 'console/mark.svg' %}",
  "{% static 'console/my_leave.js' %}", "{% static 'console/my_session.js' %}", "{% static 'console/my_rows.js' %}",
  "{% static 'console/my_clock.js' %}", "{% static 'console/my_clocks.js' %}", "{% static 'console/my_rules.js' %}",
  "{% static 'console/my_report.js' %}", "{% static 'console/my_store.js' %}", "{% static 'console/my_send.js' %}",
  "{% static 'console/my_day.js' %}",
];
const PATIENCE_MS = 6000;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(SHELL).then((shell) => shell.addAll(PARTS)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim().then(keepOpen)));

self.addEventListener("fetch", (event) => {
  const { pathname } = new URL(event.request.url);
  if (event.request.method !== "GET") return;
  if (PARTS.includes(pathname)) event.respondWith(part(event.request));
  else if (event.request.mode === "navigate" && pathname.startsWith(SCOPE)) event.respondWith(page(event));
});

async function part(request) {
  const shell = await caches.open(SHELL);
  const coming = reach(request).then(async (answer) => {
    if (answer?.ok) await shell.put(request, answer.clone());
    return answer;
  });
  const own = () => shell.match(request, { ignoreSearch: true });
  return (await inTime(coming)) ?? (await own()) ?? (await coming) ?? Response.error();
}

// What is kept stands in for an answer that is slow; where nothing is kept, a slow answer is better than none.
async function page(event) {
  const coming = reach(event.request);
  const soon = await inTime(coming);
  if (soon) return taken(event.request, soon);
  const shown = await kept(event.request);
  if (!shown) return taken(event.request, await coming);
  event.waitUntil?.(coming.then((late) => takenLate(event.request, late)));
  return shown;
}

async function taken(request, answer) {
  const reader = answer?.headers.get("Dosewright-Reader");
  if (reader) await forgetOthers(reader);
  if (reader && answer.ok) await keep(request, answer.clone(), reader);
  return answer ?? Response.error();
}

// Whoever asked may have signed out meanwhile, or somebody else in: then their pages are gone, and none comes back.
async function takenLate(request, answer) {
  const reader = answer?.headers.get("Dosewright-Reader");
  if (reader && answer.ok && (await caches.has(PAGES + reader))) await keep(request, answer, reader);
}

// null without a connection.
async function reach(request) {
  try {
    return await fetch(request);
  } catch (error) {
    if (error instanceof TypeError) return null;
    throw error;
  }
}

// null for an answer that is longer on its way than somebody in a gym waits.
function inTime(coming) {
  return Promise.race([coming, new Promise((resolve) => { setTimeout(() => resolve(null), PATIENCE_MS); })]);
}

// One person's pages alone: those of whoever read here before are thrown away.
async function forgetOthers(reader) {
  const others = (await caches.keys()).filter((name) => name.startsWith(PAGES) && name !== PAGES + reader);
  await Promise.all(others.map((name) => caches.delete(name)));
}

// The page that brought this worker came before it: it is kept too, as it may be the last one with a connection.
async function keepOpen() {
  const open = (await self.clients.matchAll({ type: "window" })).map((one) => new Request(one.url));
  const own = open.filter((request) => new URL(request.url).pathname.startsWith(SCOPE));
  await Promise.all(own.map((request) => page({ request })));
}

async function keep(request, answer, reader) {
  const address = new URL(request.url);
  await (await caches.open(PAGES + reader)).put(address.origin + address.pathname, answer);
}

async function kept(request) {
  const address = new URL(request.url);
  const names = (await caches.keys()).filter((name) => name.startsWith(PAGES));
  for (const name of names) {
    const found = await (await caches.open(name)).match(address.origin + address.pathname);
    if (found) return found;
  }
  return null;
}
