// What the page does better with script: completion while typing, clocks that
// run, a few keys. Everything works without it.
"use strict";

const each = (selector, act) => document.querySelectorAll(selector).forEach(act);

// fetchJSON gives null where there is no answer: typing goes on without.
async function fetchJSON(url, signal) {
  try {
    const answer = await fetch(url, { signal });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
}

// latest calls act shortly after the last of a burst and calls off the one
// before.
function latest(act) {
  let timer = 0;
  let running = new AbortController();
  return () => {
    clearTimeout(timer);
    running.abort();
    running = new AbortController();
    const { signal } = running;
    timer = setTimeout(() => act(signal), 120);
  };
}

// wordAt is where the word being typed begins: after the last space that is
// not in quotes.
function wordAt(line) {
  let at = 0;
  let quoted = false;
  [...line].reduce((i, c) => {
    if (c === '"') quoted = !quoted;
    if (c === " " && !quoted) at = i + 1;
    return i + c.length;
  }, 0);
  return at;
}

// completion makes the command box a combobox with a list (WAI-ARIA Authoring
// Practices, combobox with list autocomplete).
function completion(input) {
  const list = document.createElement("ul");
  list.id = "line-list";
  list.className = "complete";
  list.setAttribute("role", "listbox");
  list.setAttribute("aria-label", "Ways to go on");
  list.hidden = true;
  input.after(list);
  input.setAttribute("role", "combobox");
  input.setAttribute("aria-autocomplete", "list");
  input.setAttribute("aria-controls", list.id);
  input.setAttribute("aria-expanded", "false");
  let at = -1;

  const mark = (to) => {
    at = to;
    [...list.children].forEach((item, i) => item.setAttribute("aria-selected", String(i === at)));
    if (at < 0) {
      input.removeAttribute("aria-activedescendant");
      return;
    }
    input.setAttribute("aria-activedescendant", list.children[at].id);
    list.children[at].scrollIntoView({ block: "nearest" });
  };
  const close = () => {
    list.hidden = true;
    input.setAttribute("aria-expanded", "false");
    mark(-1);
  };
  const refresh = latest(async (signal) => {
    const typed = input.value;
    const lines = typed.startsWith("/")
      ? await fetchJSON(input.dataset.complete + "?line=" + encodeURIComponent(typed), signal)
      : null;
    if (signal.aborted || document.activeElement !== input) return;
    if (!lines || lines.length === 0) {
      close();
      return;
    }
    list.replaceChildren(...lines.map((line, i) => {
      const item = document.createElement("li");
      item.id = "line-list-" + i;
      item.setAttribute("role", "option");
      item.dataset.line = line;
      item.textContent = line.slice(wordAt(typed));
      return item;
    }));
    list.hidden = false;
    input.setAttribute("aria-expanded", "true");
    mark(-1);
  });
  const take = (item) => {
    input.value = item.dataset.line;
    close();
    input.focus();
    refresh();
  };

  input.addEventListener("input", refresh);
  input.addEventListener("blur", close);
  list.addEventListener("mousedown", (event) => {
    event.preventDefault();
    const item = event.target.closest("li");
    if (item) take(item);
  });
  input.addEventListener("keydown", (event) => {
    if (event.key === "ArrowUp" && list.hidden && input.value === "") {
      const before = document.querySelector(".asked .line");
      if (before && before.textContent.startsWith("/")) input.value = before.textContent;
      event.preventDefault();
      return;
    }
    if (list.hidden) {
      if (event.key === "ArrowDown") refresh();
      return;
    }
    const count = list.children.length;
    if (event.key === "ArrowDown") mark((at + 1) % count);
    else if (event.key === "ArrowUp") mark((at <= 0 ? count : at) - 1);
    else if (event.key === "Escape") close();
    else if (event.key === "Enter" && at >= 0) take(list.children[at]);
    else if (event.key === "Tab" && !event.shiftKey && (at >= 0 || !input.value.endsWith(" "))) take(list.children[Math.max(at, 0)]);
    else {
      // Tab after a whole word goes on to the button, not into the list.
      if (event.key === "Tab") close();
      return;
    }
    event.preventDefault();
  });
}

// suggestions asks for new values of a field while it is typed in.
function suggestions(input) {
  const { form } = input;
  const refresh = latest(async (signal) => {
    const query = new URLSearchParams({ option: input.name.slice(2) });
    for (const [name, value] of new FormData(form)) {
      if (name.startsWith("o.") && typeof value === "string" && value !== "") query.append(name, value);
    }
    const found = await fetchJSON(form.dataset.suggestAt + "?" + query, signal);
    if (!found || signal.aborted) return;
    input.list.replaceChildren(...found.map(({ value, label }) => {
      const option = document.createElement("option");
      option.value = value;
      option.textContent = label || "";
      return option;
    }));
  });
  input.addEventListener("input", refresh);
  input.addEventListener("focus", refresh);
}

// offers shows ways to go on with a paragraph, up to where one types in it, as
// buttons below.
function offers(area) {
  const { form } = area;
  const row = document.createElement("div");
  row.className = "offers";
  row.setAttribute("role", "group");
  row.setAttribute("aria-label", "Ways to go on");
  area.after(row);
  const refresh = latest(async (signal) => {
    const typed = area.value.slice(0, area.selectionStart);
    const query = new URLSearchParams({ option: area.name.slice(2), [area.name]: typed });
    const found = typed && await fetchJSON(form.dataset.suggestAt + "?" + query, signal);
    if (signal.aborted) return;
    row.replaceChildren(...(found || []).slice(0, 8).map(({ value, label }) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = label || value;
      button.addEventListener("click", () => {
        area.value = value + area.value.slice(typed.length);
        area.focus();
        area.setSelectionRange(value.length, value.length);
        refresh();
      });
      return button;
    }));
  });
  area.addEventListener("input", refresh);
}

// span writes seconds as "1 h 05 min" or "4 min 09 s".
function span(seconds) {
  const two = (n) => String(n).padStart(2, "0");
  const s = Math.floor(seconds);
  if (s >= 86400) return Math.floor(s / 86400) + " d " + Math.floor((s % 86400) / 3600) + " h";
  if (s >= 3600) return Math.floor(s / 3600) + " h " + two(Math.floor((s % 3600) / 60)) + " min";
  if (s >= 60) return Math.floor(s / 60) + " min " + two(s % 60) + " s";
  return s + " s";
}

// clocks shows beside each instant how far off it is.
function clocks() {
  each("time[data-clock]", (time) => {
    let run = time.nextElementSibling;
    if (!run) {
      run = document.createElement("span");
      run.className = "run";
      time.after(run);
    }
    const left = (Date.parse(time.dateTime) - Date.now()) / 1000;
    run.textContent = left >= 0 ? "in " + span(left) : span(-left) + " ago";
  });
}

// replaceCard shows a card as it is now. Whoever stood on one of its buttons
// with the keyboard stands on the one in its place.
function replaceCard(old, now) {
  const buttons = "button, a, summary";
  const at = [...old.querySelectorAll(buttons)].indexOf(document.activeElement);
  old.replaceWith(now);
  if (at >= 0) [...now.querySelectorAll(buttons)].slice(0, at + 1).pop()?.focus({ preventScroll: true });
}

// renew puts answers that came since into the conversation and leaves alone
// what is there, such as a form half filled.
async function renew(talk) {
  const answer = await fetch(location.pathname);
  if (!answer.ok) return;
  const now = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector(".talk");
  let before = talk.querySelector(".news");
  let fresh = 0;
  let renewed = 0;
  const called = [];
  for (const card of now.querySelectorAll(".answer")) {
    const old = document.getElementById(card.id);
    if (old && old.dataset.mark === card.dataset.mark) {
      before = old;
      continue;
    }
    const added = document.adoptNode(card);
    if (old) {
      replaceCard(old, added);
      renewed++;
    } else {
      before.after(added);
      fresh++;
      if (added.classList.contains("called")) called.push(added.querySelector("h2").textContent);
    }
    before = added;
  }
  talk.dataset.marks = now.dataset.marks;
  talk.querySelector(".empty")?.remove();
  talk.parentElement.classList.remove("first");
  if (called.length > 0) tell(talk, "You are called: " + called.join(", "));
  else if (fresh > 0) tell(talk, fresh === 1 ? "A new answer" : fresh + " new answers");
  else if (renewed > 0) tell(talk, renewed === 1 ? "A card changed" : renewed + " cards changed");
  clocks();
}

const ownTitle = document.title;

// tell says what came, also to whoever sees no more of the page than its title.
function tell(talk, text) {
  talk.querySelector(".news").textContent = text;
  if (document.hidden) document.title = text + " · " + ownTitle;
}

// news listens for answers given elsewhere, and for calls. A browser holds few
// connections to one server, so of the pages that nobody looks at one listens.
function news(talk) {
  const lost = talk.querySelector(".lost");
  let source = null;
  let rest = null; // ends the turn of a page in the background
  const hush = () => {
    source?.close();
    source = null;
    rest?.();
    rest = null;
  };
  const listen = () => {
    if (source) return;
    source = new EventSource(talk.dataset.news);
    source.addEventListener("message", (event) => {
      // One that fails is made good by the next.
      if (event.data !== talk.dataset.marks) renew(talk).catch(() => {});
    });
    source.addEventListener("open", () => { lost.hidden = true; });
    source.addEventListener("error", () => { lost.hidden = false; });
  };
  const behind = () => {
    if (!navigator.locks) return hush();
    navigator.locks.request("news", { ifAvailable: true }, (turn) => {
      if (!document.hidden) return null;
      if (!turn) return hush();
      return new Promise((done) => { rest = done; });
    });
  };
  document.addEventListener("visibilitychange", () => {
    if (document.hidden) return behind();
    document.title = ownTitle;
    rest?.();
    rest = null;
    listen();
  });
  window.addEventListener("pagehide", hush);
  window.addEventListener("pageshow", () => { if (!document.hidden) listen(); });
  if (!document.hidden) listen();
}

each("input[data-complete]", completion);
each(".talk[data-news]", news);
each("input[data-suggest]", (input) => {
  if (input.form.dataset.suggestAt) suggestions(input);
});
each("textarea[data-suggest]", (area) => {
  if (area.form.dataset.suggestAt) offers(area);
});

clocks();
setInterval(clocks, 1000);

document.addEventListener("keydown", (event) => {
  const box = document.getElementById("line");
  const typing = event.target.closest("input, textarea, select");
  if (!box || typing || event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  box.focus();
  if (box.value === "") {
    box.value = "/";
    box.dispatchEvent(new Event("input"));
  }
});

// A slow answer must not be asked for twice. The button stays enabled until
// the browser has taken its value.
document.addEventListener("submit", (event) => {
  if (event.target.ariaBusy === "true") {
    event.preventDefault();
    return;
  }
  event.target.ariaBusy = "true";
  // One that was called off with Escape can be sent again after a while.
  setTimeout(() => { event.target.ariaBusy = null; }, 10000);
});
window.addEventListener("pageshow", () => each("form", (form) => { form.ariaBusy = null; }));

// Paper has no way to open what is folded.
window.addEventListener("beforeprint", () => each(".answer details", (d) => { d.open = true; }));

// Where to go on: the field that was refused, in a command's own form or in
// the answer arrived at; else a box that is filled.
const target = location.hash ? document.getElementById(location.hash.slice(1)) : null;
const wrong = document.querySelector(".page [aria-invalid]") ?? target?.querySelector("[aria-invalid]");
const box = document.getElementById("line");
if (wrong) wrong.focus();
else if (box && box.value !== "") {
  box.focus();
  box.setSelectionRange(box.value.length, box.value.length);
}
