// What a bench card can do with a script: ticks that survive a reload, timers, decimal signs, and the age of a kept card.
// Every text comes from the page, in its language.

const page = document.documentElement;
const language = page.lang || "en";

// --- Storage ----------------------------------------------------------------------------------------------------------
// A browser may refuse to store anything; the card then works without.

function read(name, otherwise) {
  try {
    return JSON.parse(localStorage.getItem(name)) ?? otherwise;
  } catch {
    return otherwise;
  }
}

function write(name, value) {
  try {
    if (value === null) localStorage.removeItem(name);
    else localStorage.setItem(name, JSON.stringify(value));
  } catch {
    // The storage is full or forbidden.
  }
}

function storedNames(prefix) {
  try {
    return Object.keys(localStorage).filter((name) => name.startsWith(prefix));
  } catch {
    return [];
  }
}

const batch = new URLSearchParams(location.search).get("batch") ?? "";

// --- Ticks ------------------------------------------------------------------------------------------------------------

const TICKS = "tinwright.ticks:";
// Yesterday's ticks must not hide what is to be weighed today.
const TICKS_KEPT_MS = 12 * 3_600_000;
const CONFIRM_MS = 4_000;

function restoreTicks() {
  for (const name of storedNames(TICKS)) {
    if (!(Date.now() - (read(name, {}).at ?? 0) < TICKS_KEPT_MS)) write(name, null);
  }
  const boxes = [...document.querySelectorAll("input[data-tick]")];
  if (!boxes.length) return;
  const list = TICKS + listOf(boxes);
  const ticked = new Set(read(list, {}).ids ?? []);
  // A browser fills boxes in itself after "back"; what was stored counts.
  for (const box of boxes) box.checked = ticked.has(box.id);
  const clear = document.querySelector("[data-clear-ticks]");
  const show = () => {
    const ids = boxes.filter((box) => box.checked).map((box) => box.id);
    for (const count of document.querySelectorAll("[data-ticked]")) count.textContent = `${ids.length} / ${boxes.length}`;
    if (clear) clear.hidden = !ids.length;
    return ids;
  };
  const store = () => {
    const ids = show();
    write(list, ids.length ? { at: Date.now(), ids } : null);
  };
  for (const box of boxes) box.addEventListener("change", store);
  if (clear) confirmed(clear, () => {
    for (const box of boxes) box.checked = false;
    store();
  });
  show();
}

/**
 * What ticks belong to: the job, the batch and the figures of the rows.
 * The address may change in what the list does not depend on, and ticks of other figures must not count.
 */
function listOf(boxes) {
  const figures = boxes.map((box) => (box.closest("tr, li")?.textContent ?? "").replace(/\D/g, ""));
  return [location.pathname, batch, document.querySelector("h1").textContent, ...figures].join("|");
}

/** Needs a second tap on a button with `data-confirm`, since floury hands hit buttons by mistake. */
function confirmed(button, action, isHarmless = () => false) {
  const label = button.textContent;
  let waiting = 0;
  const reset = () => {
    clearTimeout(waiting);
    waiting = 0;
    button.textContent = label;
  };
  button.addEventListener("click", () => {
    if (button.dataset.confirm && !waiting && !isHarmless()) {
      button.textContent = button.dataset.confirm;
      waiting = setTimeout(reset, CONFIRM_MS);
      return;
    }
    reset();
    action();
  });
}

// --- Timers -----------------------------------------------------------------------------------------------------------
// A running timer is shown and rings on every card, because the baker goes on to the next card while the tin is baking.

const TIMERS = "tinwright.timers";
const MAX_TIMERS = 12;
const TIMER_KEPT_MS = 12 * 3_600_000;
const section = document.querySelector("[data-timer-minutes]");
// The address may change in what the timer does not depend on, so it does not name the timer.
const ownTimer = section && [location.pathname, batch, section.dataset.timerLabel, section.dataset.timerMinutes].join("|");
let sound = null;
let screenLock = null;
let isLocking = false;

function timers() {
  return read(TIMERS, []).filter((timer) => Date.now() - timer.ends < TIMER_KEPT_MS);
}

function startTimer() {
  const cancel = section.querySelector("[data-timer-cancel]");
  const texts = { due: section.dataset.timerDue, stop: cancel.textContent, confirm: cancel.dataset.confirm };
  const ends = Date.now() + Number(section.dataset.timerMinutes) * 60_000;
  const others = timers().filter((timer) => timer.id !== ownTimer);
  const started = { id: ownTimer, card: withoutKey(location), label: section.dataset.timerLabel, ends, texts };
  write(TIMERS, [...others, started].slice(-MAX_TIMERS));
  unlockSound();
  showTimers();
}

/** The address of a card without a key, which must not be stored. */
function withoutKey(address) {
  const query = new URLSearchParams(address.search);
  for (const name of [...query.keys()]) {
    if (name.toLowerCase() === "access_token") query.delete(name);
  }
  return `${address.pathname}?${query}`;
}

function ownIsDue() {
  return timers().some((timer) => timer.id === ownTimer && timer.ends <= Date.now());
}

function stopTimer(id) {
  write(TIMERS, timers().filter((timer) => timer.id !== id));
  showTimers();
}

/** Minutes and seconds that are left; with a plus sign, those that have passed since the end. */
function clock(milliseconds) {
  const seconds = Math.abs(Math.ceil(milliseconds / 1_000));
  const two = (value) => String(value).padStart(2, "0");
  return `${milliseconds < 0 ? "+" : ""}${Math.floor(seconds / 60)}:${two(seconds % 60)}`;
}

function showTimers() {
  const running = timers();
  const own = running.find((timer) => timer.id === ownTimer);
  if (section) showOwnTimer(own);
  showBar(running.filter((timer) => timer !== own));
  if (running.some((timer) => timer.ends <= Date.now())) ring();
  keepScreenOn(running.length > 0);
}

function showOwnTimer(timer) {
  const left = timer ? timer.ends - Date.now() : 0;
  const parts = {
    "[data-timer-plain]": !timer,
    "[data-timer-left]": timer,
    "[data-timer-alarm]": timer && left <= 0,
    "[data-timer-start]": !timer,
    "[data-timer-cancel]": timer,
  };
  for (const [selector, isShown] of Object.entries(parts)) {
    const part = section.querySelector(selector);
    if (part.hidden === Boolean(isShown)) part.hidden = !isShown;
  }
  section.classList.toggle("due", Boolean(timer) && left <= 0);
  if (timer) section.querySelector("[data-timer-left]").textContent = clock(left);
}

function showBar(running) {
  let bar = document.getElementById("timers");
  if (!running.length) {
    bar?.remove();
    return;
  }
  const ids = running.map((timer) => timer.id).join("\n");
  if (bar?.dataset.ids !== ids) {
    bar?.remove();
    bar = document.createElement("aside");
    bar.id = "timers";
    bar.dataset.ids = ids;
    bar.setAttribute("aria-label", running[0].label);
    bar.append(...running.map(barEntry));
    document.body.append(bar);
  }
  running.forEach((timer, place) => {
    const left = timer.ends - Date.now();
    const entry = bar.children[place];
    entry.classList.toggle("due", left <= 0);
    entry.querySelector(".left").textContent = clock(left);
    entry.querySelector(".alarm").textContent = left <= 0 ? timer.texts.due : "";
  });
}

function barEntry(timer) {
  const entry = document.createElement("p");
  const link = document.createElement("a");
  link.href = timer.card;
  link.textContent = timer.label;
  const left = document.createElement("span");
  left.className = "left";
  const alarm = document.createElement("strong");
  alarm.className = "alarm";
  alarm.setAttribute("role", "alert");
  const stop = document.createElement("button");
  stop.type = "button";
  stop.textContent = timer.texts.stop;
  stop.dataset.confirm = timer.texts.confirm;
  confirmed(stop, () => stopTimer(timer.id), () => timer.ends <= Date.now());
  entry.append(link, left, alarm, stop);
  return entry;
}

/** A browser lets a page make a sound only after a tap on it. */
function unlockSound() {
  sound ??= new AudioContext();
  if (sound.state === "suspended") sound.resume().catch(() => undefined);
}

function ring() {
  unlockSound();
  if (sound.state !== "running") return;
  for (const delay of [0, 0.25]) {
    const tone = sound.createOscillator();
    const volume = sound.createGain();
    tone.frequency.value = 880;
    volume.gain.value = 0.4;
    tone.connect(volume).connect(sound.destination);
    tone.start(sound.currentTime + delay);
    tone.stop(sound.currentTime + delay + 0.15);
  }
  navigator.vibrate?.([150, 100, 150]);
}

async function keepScreenOn(isWanted) {
  if (!isWanted) {
    screenLock?.release();
    screenLock = null;
    return;
  }
  if (screenLock || isLocking || document.visibilityState !== "visible" || !navigator.wakeLock) return;
  isLocking = true;
  try {
    screenLock = await navigator.wakeLock.request("screen");
    // The browser releases it when the page is hidden.
    screenLock.addEventListener("release", () => {
      screenLock = null;
    });
  } catch {
    // A low battery, for example.
  } finally {
    isLocking = false;
  }
}

function watchTimers() {
  if (section) {
    section.querySelector("[data-timer-start]").addEventListener("click", startTimer);
    confirmed(section.querySelector("[data-timer-cancel]"), () => stopTimer(ownTimer), ownIsDue);
  }
  document.addEventListener("visibilitychange", showTimers);
  document.addEventListener("pointerdown", () => {
    if (timers().length) unlockSound();
  });
  setInterval(showTimers, 1_000);
  showTimers();
}

// --- Decimal signs ----------------------------------------------------------------------------------------------------

/**
 * Text with the page's own decimal sign in numbers that can be read in one way only.
 * "1.500" may be a thousand and a half or one and a half, so it stays as it is and the service asks.
 */
function withDecimalSign(text, sign) {
  const numbers = /(^|[^\d.,])(?:(0)[.,](\d+)|(\d+)[.,](\d{1,2}|\d{4,}))(?![\d.,])/g;
  return text.replace(numbers, (_, before, zero, after, whole, part) => before + (zero ?? whole) + sign + (after ?? part));
}

function watchDecimals() {
  const sign = page.dataset.decimal;
  if (!sign) return;
  document.addEventListener("change", (event) => {
    const field = event.target;
    if (field.matches?.('input[inputmode="decimal"]')) field.value = withDecimalSign(field.value, sign);
  });
}

// --- Without a connection ---------------------------------------------------------------------------------------------

function showAge() {
  const note = document.getElementById("kept");
  const keptAt = new Date(page.dataset.keptAt ?? "");
  if (!note || Number.isNaN(keptAt.getTime())) return;
  const form = { weekday: "long", hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const time = new Intl.DateTimeFormat(language, form).format(keptAt);
  const text = note.querySelector("[data-kept-text]");
  text.textContent = text.dataset.keptText.replace("{age}", age(Date.now() - keptAt)).replace("{time}", time);
  note.querySelector("[data-kept-outdated]").hidden = page.dataset.outdated === undefined;
  note.hidden = false;
}

function age(milliseconds) {
  const words = new Intl.RelativeTimeFormat(language, { numeric: "auto" });
  const minutes = Math.max(0, Math.floor(milliseconds / 60_000));
  if (minutes < 60) return words.format(-minutes, "minute");
  const hours = Math.floor(minutes / 60);
  return hours < 48 ? words.format(-hours, "hour") : words.format(-Math.floor(hours / 24), "day");
}

/** On the page that stands for a card that was not kept: links to the cards that were. */
async function listKept() {
  const list = document.querySelector("[data-kept-cards]");
  if (!list || !("caches" in self)) return;
  const folder = new URL("./", location.href).pathname;
  const cards = await caches.open(`tinwright ${folder} cards`);
  for (const request of (await cards.keys()).reverse()) {
    const html = await (await cards.match(request, { ignoreVary: true })).text();
    const link = document.createElement("a");
    link.href = request.url;
    link.textContent = new DOMParser().parseFromString(html, "text/html").title;
    const entry = document.createElement("li");
    entry.append(link);
    list.append(entry);
  }
  list.hidden = !list.children.length;
}

async function startWorker() {
  const address = document.querySelector("script[data-worker]")?.dataset.worker;
  if (!address || !navigator.serviceWorker) return;
  const wasControlled = navigator.serviceWorker.controller !== null;
  await navigator.serviceWorker.register(address);
  const { active } = await navigator.serviceWorker.ready;
  if (!wasControlled) active.postMessage({ keep: location.href });
}

restoreTicks();
watchTimers();
watchDecimals();
showAge();
setInterval(showAge, 60_000);
listKept().catch(() => undefined);
startWorker().catch(() => undefined);
