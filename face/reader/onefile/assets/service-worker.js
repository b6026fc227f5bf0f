// Keeps the folder's files for use without a network. What is kept is of one writing of the folder: "kept" and "files" stand above.
const ours = "secondpass " + registration.scope + " ", place = ours + kept;
// A file that the server sends from another address than it was asked at would not be shown, unless it is copied.
async function keep(cache, name) {
  const got = await fetch(name, { cache: "no-cache" });
  if (!got.ok) throw new Error(`${name}: ${got.status}`);
  await cache.put(name, got.redirected ? new Response(await got.blob(), { headers: got.headers }) : got);
}
addEventListener("install", (event) => event.waitUntil(caches.open(place).then((cache) => Promise.all(files.map((name) => keep(cache, name)))).then(() => skipWaiting())));
addEventListener("activate", (event) => event.waitUntil((async () => {
  for (const name of await caches.keys()) if (name.startsWith(ours) && name !== place) await caches.delete(name);
  await clients.claim();
})()));
addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  event.respondWith(caches.open(place).then((cache) => cache.match(event.request, { ignoreSearch: true })).then((there) => there ?? fetch(event.request)));
});
