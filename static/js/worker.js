// A student's own pages, as they last came from the school, for a phone without Wi-Fi. They are kept under the student's
// number and forgotten at every door of the school, so that nobody meets another's pages. VERSION stands before this:
// it changes with every deployment, and the pages are then fetched again with their new files.
const OURS = "student:";
const PAGES = /^\/(my-waxes\/(\d+\/(tag\/)?)?|hand-in\/(\d+\/)?)$/;
// What a page is shown with: its files, whose names change with their content, and the small photos of its waxes.
const SHOWN = /\/(static|my-waxes\/\d+\/small\.jpg)[^"]*/g;
const NO_DOOR = /^\/($|my-waxes\/|hand-in\/|name\/|return-code\/)/;
// How often the pages were forgotten: a page that was asked for before must not be kept after.
let forgotten = 0;

// The newest first.
const names = async () => (await caches.keys()).filter((name) => name.startsWith(OURS)).reverse();

async function forget(but) {
  if (!but) forgotten += 1;
  for (const name of await names()) if (!but || !name.startsWith(but)) await caches.delete(name);
}

async function found(path) {
  for (const name of await names()) {
    const answer = await (await caches.open(name)).match(path, { ignoreVary: true });
    if (answer) return answer;
  }
  return undefined;
}

// Keep a page with its files, and the pages that it leads to; it says itself whose it is.
async function keep(path, answer, since) {
  const text = await answer.text(), student = text.match(/data-student="(\d+)"/)?.[1];
  if (!answer.ok || answer.redirected || !student) return;
  await forget(`${OURS}${student}:`);
  if (since !== forgotten) return;
  const cache = await caches.open(`${OURS}${student}:${VERSION}`), headers = new Headers(answer.headers);
  for (const name of ["content-encoding", "content-length"]) headers.delete(name);
  const dated = text.replace("<body ", `<body data-kept-at="${new Date().toISOString()}" `);
  await cache.put(path, new Response(dated, { headers }));
  for (const file of new Set(text.match(SHOWN))) if (!await cache.match(file)) await cache.add(file).catch(() => null);
  for (const [, next] of text.matchAll(/href="([^"]+)"/g)) if (PAGES.test(next) && !await cache.match(next)) await fetched(next, since);
}

const fetched = (path, since = forgotten) => fetch(path, { credentials: "same-origin" }).then((answer) => keep(path, answer, since)).catch(() => null);

async function page(event, { pathname, search }) {
  const since = forgotten, reads = event.request.method === "GET";
  let answer;
  try {
    answer = await fetch(event.request);
  } catch {
    return reads && await found(pathname === "/" ? "/my-waxes/" : pathname) || Response.error();
  }
  if (!NO_DOOR.test(pathname)) await forget();
  else if (reads && !search && PAGES.test(pathname)) event.waitUntil(keep(pathname, answer.clone(), since));
  return answer;
}

// A new deployment: what was kept is fetched again, and the old copies go once the new ones are there.
async function renew() {
  await self.clients.claim();
  for (const name of (await names()).filter((each) => !each.endsWith(`:${VERSION}`))) {
    const paths = (await (await caches.open(name)).keys()).map((request) => new URL(request.url).pathname);
    for (const path of paths.filter((each) => PAGES.test(each))) await fetched(path);
    if ((await names()).includes(name.replace(/[^:]*$/, VERSION))) await caches.delete(name);
  }
}

addEventListener("install", () => self.skipWaiting());
addEventListener("activate", (event) => event.waitUntil(renew()));
addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== location.origin) return;
  if (event.request.mode === "navigate") event.respondWith(page(event, url));
  else if (url.pathname.search(SHOWN) === 0) event.respondWith(fetch(event.request).catch(async () => await found(url.pathname + url.search) || Response.error()));
});

// A page says what has changed since it was kept: `stale` is dropped, `fresh` is fetched anew.
addEventListener("message", (event) => event.waitUntil((async () => {
  for (const name of await names()) for (const path of event.data.stale || []) await (await caches.open(name)).delete(path);
  if (PAGES.test(event.data.fresh)) await fetched(event.data.fresh);
})()));
