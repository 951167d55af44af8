// The worker: it keeps each page as it was last, for the time when the server is away. A
// page that is opened or loaded anew then has its line, its outbox and its last board,
// which says how old it is. While the server answers, its answer is what counts.
//
// Before this text the server puts what is kept: of which program and incident, the pages
// and the files. Another program or another incident is another text: the browser puts
// that worker in the place of this one, and what this one kept goes with it. The files
// carry the program in their address: a page never runs with those of another.
'use strict';
const store = `tankside ${kept.of}`;
const patience = 5000; // ms after which a server that says nothing is taken to be away

addEventListener('install', (e) => {
  skipWaiting();
  // What is typed and what is fed goes straight to the server and never waits for this.
  e.addRoutes?.([
    { condition: { requestMethod: 'POST' }, source: 'network' },
    { condition: { urlPattern: new URLPattern({ pathname: '/feed', baseURL: location.origin }) }, source: 'network' },
  ])?.catch(() => {});
  e.waitUntil(Promise.allSettled([...kept.files, ...kept.pages].map(renew)));
});

addEventListener('activate', (e) => e.waitUntil((async () => {
  for (const name of await caches.keys()) if (name !== store) await caches.delete(name);
  await clients.claim();
})()));

addEventListener('message', (e) => {
  if (kept.pages.includes(e.data)) e.waitUntil(renew(e.data).catch(() => {}));
});

addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || url.origin !== location.origin) return;
  if (kept.files.includes(url.pathname + url.search)) e.respondWith(file(e.request));
  else if (e.request.mode === 'navigate' && kept.pages.includes(url.pathname)) e.respondWith(page(e, url));
});

async function renew(path) {
  const res = await fetch(path, { redirect: 'error' });
  if (res.ok) await keep(path, res);
}

// keep notes the hour by this machine's clock: the server's may be another. Once another
// incident is served at this address, nothing of the one before is shown there any more.
async function keep(path, res) {
  if (kept.pages.includes(path) && res.headers.get('Tankside-Of') !== kept.of) {
    await caches.delete(store);
    return;
  }
  const headers = new Headers(res.headers);
  headers.set('Tankside-Kept', String(Date.now()));
  await (await caches.open(store)).put(path, new Response(res.body, { headers }));
}

async function file(request) {
  return (await (await caches.open(store)).match(request)) ?? fetch(request);
}

async function page(e, url) {
  const answer = fetch(e.request);
  try {
    const res = await Promise.race([answer, new Promise((_, no) => { setTimeout(no, patience); })]);
    if (res.type === 'opaqueredirect') e.waitUntil(caches.delete(store)); // this machine is let in no more
    if (res.ok && !url.search) e.waitUntil(keep(url.pathname, res.clone()));
    return res;
  } catch {
    return (await last(url.pathname)) ?? answer;
  }
}

// last is a page as it was kept; it says in its first tag when that was.
async function last(path) {
  const res = await (await caches.open(store)).match(path);
  if (!res) return null;
  const html = await res.text();
  return new Response(html.replace('<html ', `<html data-kept="${Number(res.headers.get('Tankside-Kept'))}" `), { headers: res.headers });
}
