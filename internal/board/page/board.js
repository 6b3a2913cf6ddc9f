// What the board does better with script: clocks that run by the server's
// time, and changes that come by themselves. Everything is right without it.
"use strict";

const page = document.body;
const live = document.getElementById("live");
const asof = document.getElementById("asof");
const lost = document.getElementById("lost");

// ahead is how much the server's clock is ahead of this machine's, in ms: a
// tablet's may be wrong.
let ahead = Number(page.dataset.now) - Date.now();
const now = () => Date.now() + ahead;

const two = (n) => String(n).padStart(2, "0");

// figure writes a length of time as it is read from afar, and span as it stands
// in a sentence: both as the server does, to the second only where they count.
function figure(ms) {
  const s = Math.max(Math.floor(ms / 1000), 0);
  if (s >= 86400) return Math.floor(s / 86400) + " d " + Math.floor((s % 86400) / 3600) + " h";
  if (s >= 3600) return Math.floor(s / 3600) + ":" + two(Math.floor((s % 3600) / 60)) + " h";
  if (s >= 600) return Math.floor(s / 60) + " min";
  if (s >= 60) return Math.floor(s / 60) + ":" + two(s % 60) + " min";
  return s + " s";
}

function span(ms) {
  const s = Math.max(Math.floor(ms / 1000), 0);
  if (s >= 86400) return Math.floor(s / 86400) + " d " + Math.floor((s % 86400) / 3600) + " h";
  if (s >= 3600) return Math.floor(s / 3600) + " h " + two(Math.floor((s % 3600) / 60)) + " min";
  if (s >= 600) return Math.floor(s / 60) + " min";
  if (s >= 60) return Math.floor(s / 60) + " min " + two(s % 60) + " s";
  return s + " s";
}

function say(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

// clocks brings all that only tells the time up to date.
function clocks() {
  const t = now();
  const written = (e) => (e.closest(".left") ? figure : span);
  live.querySelectorAll("[data-until]").forEach((e) => say(e, written(e)(Date.parse(e.dataset.until) - t)));
  live.querySelectorAll("[data-since]").forEach((e) => say(e, written(e)(t - Date.parse(e.dataset.since))));
  live.querySelectorAll("progress").forEach((e) => {
    const from = Date.parse(e.dataset.from);
    const all = Date.parse(e.dataset.to) - from;
    if (all > 0) e.value = Math.min(Math.max(Math.round(1000 * (t - from) / all), 0), 1000);
  });
}

// bare is an element without what only tells the time.
function bare(element) {
  const copy = element.cloneNode(true);
  copy.querySelectorAll("[data-until], [data-since]").forEach((e) => { e.textContent = ""; });
  copy.querySelectorAll("progress").forEach((e) => e.removeAttribute("value"));
  return copy.outerHTML;
}

// show puts a new board in place of the old one and leaves alone what is the
// same, and what has the focus where it is.
function show(html) {
  const fresh = new DOMParser().parseFromString("<main>" + html + "</main>", "text/html").querySelector("main");
  const held = document.activeElement?.closest("[data-key]")?.dataset.key;
  fresh.querySelectorAll("[data-text]").forEach((e) => {
    const old = document.getElementById(e.id);
    if (old) say(old, e.textContent);
  });
  fresh.querySelectorAll("[data-list]").forEach((list) => {
    const old = live.querySelector(`[data-list="${list.dataset.list}"]`);
    if (!old) return;
    const before = new Map([...old.children].map((e) => [e.dataset.key, e]));
    const after = [...list.children].map((e) => {
      const kept = before.get(e.dataset.key);
      return kept && bare(kept) === bare(e) ? kept : document.adoptNode(e);
    });
    if (after.length !== old.children.length || after.some((e, i) => e !== old.children[i])) old.replaceChildren(...after);
  });
  clocks();
  if (held && !document.activeElement?.closest("[data-key]")) {
    live.querySelector(`[data-key="${CSS.escape(held)}"] a`)?.focus();
  }
}

// gone takes everything off the board: its address was taken back.
function gone() {
  source?.close();
  source = null;
  over = true;
  const said = document.createElement("p");
  said.className = "none";
  said.textContent = "This board's address was taken back. A manager of the shop can make a new one.";
  live.replaceChildren(said);
  lost.hidden = true;
}

let source = null;
let over = false;
let heard = Date.now();

function hear(event) {
  const told = JSON.parse(event.data);
  ahead = told.now - Date.now();
  heard = Date.now();
  say(asof, told.at);
  lost.hidden = true;
  if (told.html) show(told.html);
}

// listen hears of changes while the page is looked at: a browser holds few
// connections to one server.
function listen() {
  if (document.hidden || over) {
    source?.close();
    source = null;
    return;
  }
  if (source) return;
  heard = Date.now();
  source = new EventSource(page.dataset.news + "?mark=" + encodeURIComponent(page.dataset.mark));
  source.addEventListener("board", (event) => {
    page.dataset.mark = event.lastEventId;
    hear(event);
  });
  source.addEventListener("beat", hear);
  source.addEventListener("gone", gone);
  source.addEventListener("error", () => {
    if (source?.readyState === EventSource.CLOSED) refused();
  });
}

// refused finds out why the server does not speak to us, and asks again later.
async function refused() {
  source = null;
  try {
    const answer = await fetch(location.pathname, { method: "HEAD" });
    if (answer.status === 404) {
      gone();
      return;
    }
  } catch {
    // nobody there: later
  }
  setTimeout(listen, 10000 + Math.random() * 10000);
}

// Silence of more than two beats means that what is shown may be old.
function silence() {
  if (over || document.hidden || Date.now() - heard < 40000) return;
  if (lost.hidden) say(lost, "Not connected since " + asof.textContent + ". What is shown may be old.");
  lost.hidden = false;
}

document.addEventListener("visibilitychange", listen);
window.addEventListener("pagehide", () => { source?.close(); source = null; });
window.addEventListener("pageshow", listen);

clocks();
listen();
setInterval(() => { clocks(); silence(); }, 1000);
