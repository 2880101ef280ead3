// Keeps the start page and the last cards opened, and shows them with their age when the network fails.
"use strict";

const SCOPE = new URL("./", self.location.href);
const START = new URL("start", SCOPE).href;
const OFFLINE = new URL("offline", SCOPE).href;
const STATIC = new URL("../static/", SCOPE).href;
const FILES = ["cards.css", "cards.js", "cards.webmanifest", "icon-192.png"];
const MAX_CARDS = 50;
// Longer than the service takes for a card; after it, a card that was kept is better than a blank screen.
const PATIENCE_MS = 5_000;
// The page that registers this script names the figures and the version of the files in its address.
const INSTALLED = new URL(self.location.href).searchParams;
const FIGURES = INSTALLED.get("figures");
// All installations on one host share the storage, so each has names of its own.
const OWN = `tinwright ${SCOPE.pathname} `;
const CARDS_CACHE = `${OWN}cards`;
const FILES_CACHE = `${OWN}files ${INSTALLED}`;
const KEPT_AT = "X-Kept-At";
const KEY = /tw_[A-Za-z0-9_-]{43}/;

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || holdsKey(request)) return;
  if (request.url.startsWith(STATIC)) event.respondWith(answerFile(request));
  else if (request.mode === "navigate" && request.url.startsWith(SCOPE.href)) event.respondWith(answerPage(event));
});

// The first page is opened before this script runs, so it asks to be kept afterwards.
self.addEventListener("message", (event) => {
  const address = event.data?.keep;
  if (typeof address !== "string" || !address.startsWith(SCOPE.href)) return;
  const request = new Request(address);
  if (!holdsKey(request)) event.waitUntil(fetchAndKeep(request).catch(() => undefined));
});

async function install() {
  const files = await caches.open(FILES_CACHE);
  await files.addAll(FILES.map((name) => new Request(STATIC + name, { cache: "reload" })));
  // A service with keys refuses these pages; the other files are of use without them.
  await Promise.allSettled([START, OFFLINE].map((address) => fetchAndKeep(new Request(address))));
  await self.skipWaiting();
}

async function activate() {
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(OWN) && name !== CARDS_CACHE && name !== FILES_CACHE);
  await Promise.all(old.map((name) => caches.delete(name)));
  await self.clients.claim();
}

/** The page from the network; if that fails, the kept page. */
async function answerPage(event) {
  const kept = await findKept(event.request.url);
  let response;
  try {
    response = await inTime(fetchPage(event.request), kept ? PATIENCE_MS : Infinity);
  } catch {
    return kept ? withAge(kept) : offlinePage();
  }
  // Only the browser's own request lets it ask the person for a key.
  if (response.status === 401) return fetch(event.request);
  const failed = response.status >= 500 || response.status === 429;
  if (failed && kept) return withAge(kept);
  if (isKeepable(response)) event.waitUntil(keep(event.request.url, response.clone()));
  return response;
}

/** A style sheet or script from the network, else the copy made at installation, whatever version the page names. */
async function answerFile(request) {
  try {
    const response = await fetch(request);
    if (response.ok) return response;
  } catch {
    // The copy is tried below.
  }
  const files = await caches.open(FILES_CACHE);
  return (await files.match(request, { ignoreSearch: true, ignoreVary: true })) ?? Response.error();
}

function fetchPage(request) {
  const headers = { Accept: request.headers.get("Accept") ?? "text/html" };
  // Without `no-cache`, a copy of the browser's own cache would pass for an answer of the service.
  return fetch(request.url, { cache: "no-cache", credentials: "same-origin", headers, redirect: "manual" });
}

async function fetchAndKeep(request) {
  const response = await fetchPage(request);
  if (isKeepable(response)) await keep(request.url, response);
}

function inTime(promise, milliseconds) {
  if (milliseconds === Infinity) return promise;
  const late = new Promise((_, reject) => setTimeout(() => reject(new Error("no answer in time")), milliseconds));
  return Promise.race([promise, late]);
}

function holdsKey(request) {
  const query = new URL(request.url).searchParams;
  const hasToken = [...query.keys()].some((name) => name.toLowerCase() === "access_token");
  return hasToken || KEY.test(query.toString()) || request.headers.has("Authorization");
}

/** Whether an answer may be kept: `private` marks the answers to a request with a key, which the browser may add. */
function isKeepable(response) {
  const control = response.headers.get("Cache-Control") ?? "";
  const type = response.headers.get("Content-Type") ?? "";
  return response.status === 200 && type.startsWith("text/html") && /\bpublic\b/.test(control);
}

async function keep(address, response) {
  const headers = new Headers(response.headers);
  headers.delete("Content-Encoding"); // the body is decoded
  headers.set(KEPT_AT, new Date().toISOString());
  const copy = new Response(await response.blob(), { headers });
  if (address === START || address === OFFLINE) {
    await (await caches.open(FILES_CACHE)).put(address, copy);
    return;
  }
  const cards = await caches.open(CARDS_CACHE);
  await cards.delete(address, { ignoreVary: true }); // so that the card becomes the newest
  await cards.put(address, copy);
  const addresses = await cards.keys();
  const surplus = addresses.slice(0, Math.max(0, addresses.length - MAX_CARDS));
  await Promise.all(surplus.map((oldest) => cards.delete(oldest)));
}

async function findKept(address) {
  const name = [START, OFFLINE].includes(address) ? FILES_CACHE : CARDS_CACHE;
  return (await caches.open(name)).match(address, { ignoreVary: true });
}

/** The kept page, with the time when it was kept in an attribute, from which the page's script writes a sentence. */
async function withAge(kept) {
  const outdated = kept.headers.get("X-Figures") === FIGURES ? "" : ' data-outdated=""';
  const html = (await kept.text()).replace("<html", `<html data-kept-at="${kept.headers.get(KEPT_AT)}"${outdated}`);
  return new Response(html, { headers: kept.headers });
}

async function offlinePage() {
  const kept = await findKept(OFFLINE);
  return kept ? new Response(await kept.blob(), { status: 503, headers: kept.headers }) : Response.error();
}
