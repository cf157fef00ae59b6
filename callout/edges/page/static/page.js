// What both pages share: the events of the game, a clock between them, and the age of what is shown.

import { marked, put as write, said } from "./texts.js";

const OLD_AFTER_MS = 5000; // The table tells its clock every two seconds.
const BACK_AFTER_MS = 3000; // As a browser itself does.
const started = { left: 0, running: false, at: 0 };
let heard = performance.now();
let everHeard = false;
let gone = false; // Whether the server answers, and knows this address no more.

export const at = (id) => document.getElementById(id);

export function put(id, text) {
  const place = at(id);
  if (place.textContent !== String(text)) place.textContent = text;
}

export function clockText(tenths) {
  if (tenths < 600) return `${Math.floor(tenths / 10)}.${tenths % 10}`;
  return `${Math.floor(tenths / 600)}:${String(Math.floor(tenths / 10) % 60).padStart(2, "0")}`;
}

function setClock(left, running) {
  started.left = left;
  started.running = running;
  started.at = performance.now();
}

function showClock() {
  // An old page shows no clock that runs on by guess.
  const runs = started.running && !document.body.classList.contains("old");
  const gone = runs ? Math.floor((performance.now() - started.at) / 100) : 0;
  put("clock", clockText(Math.max(0, started.left - gone)));
}

function showAge() {
  const age = performance.now() - heard;
  const old = age > OLD_AFTER_MS;
  document.body.classList.toggle("old", old);
  const stale = at("stale");
  stale.hidden = !old;
  if (!old) return;
  const seconds = Math.floor(age / 1000);
  // Changed rarely, so that a screen reader is not kept talking.
  const minutes = Math.floor(seconds / 60);
  const shown = minutes < 1 ? `${seconds - (seconds % 5)} seconds` : minutes === 1 ? "1 minute" : `${minutes} minutes`;
  const lost = everHeard ? `No connection. This is ${shown} old.` : "No connection yet.";
  const told = gone ? "This address leads nowhere now. Open the new one that the table has." : lost;
  if (stale.dataset.shown === told) return;
  stale.dataset.shown = told;
  write(stale, told);
}

export function figures(id, rows) {
  const list = at(id);
  const text = JSON.stringify(rows);
  if (list.dataset.shown === text) return;
  list.dataset.shown = text;
  marked(list).replaceChildren(...rows.map(([name, value, owed]) => {
    const term = document.createElement("dt");
    const given = document.createElement("dd");
    const shown = document.createElement("span");
    const pair = document.createElement("div");
    write(term, name);
    if (owed) pair.className = "owed";
    write(shown, String(value));
    given.append(shown);
    pair.append(term, given);
    return pair;
  }));
}

export function teamRows(game, side) {
  return [
    ["Team fouls", game.team_fouls[side], false],
    ["Next foul", game.next_foul[side], game.next_foul[side] !== "no shots"],
    ["Time-outs left", game.timeouts_left[side], false],
    ...(game.has_arrow ? [["Arrow", game.arrow === side ? `${side === "home" ? "\u25C0" : "\u25B6"} ${said("yes")}` : "no", game.arrow === side]] : []),
  ];
}

export function heading(game) {
  for (const side of ["home", "guest"]) {
    put(`${side}-name`, game.names[side]);
    put(`${side}-score`, game.score[side]);
    at(`${side}-score`).classList.toggle("long", game.score[side] > 99);
  }
  write(at("period"), game.period);
  write(at("state"), game.state);
}

// A browser comes back by itself after a lost connection, and never after a refusal: then we do.
async function comeBack(show) {
  try {
    const answer = await fetch(location.pathname, { method: "HEAD" });
    gone = answer.status === 404;
    if (answer.ok) return listen(show);
  } catch {
    gone = false; // Nobody is there now.
  }
  comeBackLater(show);
}

// A hall full of pages does not come back at one moment.
const comeBackLater = (show) => setTimeout(() => comeBack(show), BACK_AFTER_MS * (1 + Math.random()));

function listen(show) {
  const events = new EventSource(`${location.pathname.replace(/\/$/, "")}/events`);
  const took = () => { heard = performance.now(); everHeard = true; };
  events.addEventListener("show", (event) => {
    took();
    const game = JSON.parse(event.data);
    setClock(game.left_tenths, game.running);
    show(game);
    showAge();
    showClock();
  });
  events.addEventListener("beat", (event) => {
    took();
    const beat = JSON.parse(event.data);
    setClock(beat.left_tenths, beat.running);
  });
  events.addEventListener("error", () => {
    if (events.readyState === EventSource.CLOSED) comeBackLater(show);
  });
}

export function follow(show) {
  listen(show);
  setInterval(showAge, 500);
  setInterval(showClock, 50);
}
