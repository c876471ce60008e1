// The recipe card: sliders whose picture follows at once. While somebody slides, each open page has
// one request on its way at most; when it comes back, the newest figures go next, and all that lay
// between are left out.

import { relay, renew } from "/assets/page.js";
import { table } from "/assets/paper.js";

/** Milliseconds after which a request that has been overtaken is given up. */
const OVERTAKEN = 2000;
/** Long sides in pixels at which pages are asked for. */
const SIZES = [640, 960, 1280, 1600];

let wish = null;
let count = 0;
const hands = new Map();

const form = () => document.getElementById("recipe");
const sliders = () => [...form().querySelectorAll("input[type=range]")];

/** The figures as they stand on the card, as a query. */
function figures() {
  const query = new URLSearchParams(sliders().map((slider) => [slider.name, slider.value]));
  const piece = form().elements.piece?.value;
  if (piece) query.set("piece", piece);
  return query.toString();
}

/** A figure in words, as the page itself says it. */
function words(slider) {
  const value = Number(slider.value);
  const number = String(Math.abs(value));
  const { less, more, percent } = slider.dataset;
  if (!less) return `L* ${number}`;
  if (Math.abs(value) < 0.05) return "as it is";
  return `${number} ${percent === undefined ? "L*" : "%"} ${value < 0 ? less : more}`;
}

function say(slider) {
  const text = words(slider);
  slider.parentElement.querySelector("output").textContent = text;
  slider.setAttribute("aria-valuetext", text);
}

/** Begins or goes on with a trial; `since` is the moment of the touch that asks for it. */
function attempt(since) {
  count += 1;
  wish = { number: count, since, query: figures() };
  document.getElementById("trying").textContent = "This is a trial. Nothing is taken yet.";
  for (const sheet of table.sheets()) pull(sheet.id, page(sheet));
  pull("shapes", shapes);
}

/** Fetches for one place until it has the newest figures. */
async function pull(id, fetchOne) {
  const hand = hands.get(id) ?? { busy: null, done: 0 };
  hands.set(id, hand);
  if (hand.busy) {
    if (performance.now() - hand.since > OVERTAKEN) hand.busy.abort();
    return;
  }
  while (wish && hand.done !== wish.number) {
    const now = wish;
    hand.busy = new AbortController();
    hand.since = performance.now();
    try {
      await fetchOne(now, hand.busy.signal);
    } catch (error) {
      if (error.name !== "AbortError") document.getElementById("trying").textContent = error.message;
    }
    hand.done = now.number;
    hand.busy = null;
  }
}

function page(sheet) {
  return async (now, signal) => {
    const longest = table.longest(sheet.id);
    const pixels = SIZES.find((size) => size >= longest) ?? SIZES.at(-1);
    const answer = await fetch(`/trial/${sheet.id}/${table.paper()}/${pixels}?${now.query}`, {
      signal, headers: { Accept: "application/json, image/*" },
    });
    if (!answer.ok) throw new Error((await answer.json()).said);
    const image = await createImageBitmap(await answer.blob());
    if (wish) table.lay(sheet.id, { image, number: now.number, since: now.since });
  };
}

async function shapes(now, signal) {
  const answer = await fetch(`/paper/shape?${now.query}`, { signal });
  if (answer.ok) document.getElementById("shapes").innerHTML = await answer.text();
}

/** Lets a page's first trial, which takes longest, be made before a slider moves. */
function warm() {
  for (const sheet of table.sheets()) {
    const key = `${sheet.id} ${table.paper()}`;
    if (warmed.has(key)) continue;
    warmed.add(key);
    fetch(`/trial/${sheet.id}/${table.paper()}/${SIZES[0]}?${figures()}`).catch(() => {});
  }
}

const warmed = new Set();
for (const name of ["pointerover", "focusin"]) {
  document.addEventListener(name, (event) => {
    if (event.target.closest?.("#recipe")) warm();
  });
}

/** Ends the trial without taking anything. */
function forget() {
  wish = null;
  for (const hand of hands.values()) hand.busy?.abort();
  hands.clear();
  table.clear();
  document.getElementById("trying").textContent = "";
}

document.addEventListener("input", (event) => {
  if (!event.target.matches("#recipe input[type=range]")) return;
  say(event.target);
  attempt(event.timeStamp);
});

document.addEventListener("change", (event) => {
  if (!event.target.matches("#recipe input[type=radio]")) return;
  const given = JSON.parse(event.target.dataset.figures);
  for (const slider of sliders()) {
    slider.value = given[slider.name];
    say(slider);
  }
  attempt(event.timeStamp);
});

document.addEventListener("reset", (event) => {
  if (event.target !== form()) return;
  // The fields go back after this event.
  setTimeout(() => {
    for (const slider of sliders()) say(slider);
    const query = figures();
    forget();
    shapes({ query }).catch(() => {});
  });
});

/** What was taken, or taken back, is in force: the trial stays in view until its tiles are there. */
document.addEventListener("renewed", () => {
  wish = null;
  hands.clear();
  warmed.clear();
  fold.setAttribute("aria-expanded", String(!document.body.hasAttribute("data-card-away")));
  table.leave();
  const trying = document.getElementById("trying");
  if (trying) trying.textContent = "";
});

// The card for other pages, the book, or one picture.

document.addEventListener("opened", async ({ detail }) => {
  forget();
  const piece = new URLSearchParams(location.search).get("for");
  const address = `/paper/card?page=${detail.page}${piece ? `&for=${encodeURIComponent(piece)}` : ""}`;
  const answer = await fetch(address).catch(() => null);
  if (!answer?.ok || table.page() !== detail.page) return;
  const next = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("card");
  relay(document.getElementById("card"), next);
});

document.addEventListener("click", (event) => {
  const link = event.target.closest("#scopes a");
  if (!link || event.button !== 0 || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  forget();
  renew(link.href);
});

// The card folded away leaves the whole table to the page.

const fold = document.getElementById("fold-card");
fold.addEventListener("click", () => {
  const away = document.body.toggleAttribute("data-card-away");
  fold.setAttribute("aria-expanded", String(!away));
});
