import { answers, buttons, call, label, latest, phrase, takeTyped } from "./calls.js";
import { at, figures, follow, heading, put, teamRows } from "./page.js";
import { describe, marked, put as write, said, speak } from "./texts.js";

const PLAYER = [["Two points", "two"], ["Three points", "three"], ["Foul", "foul"], ["Fill in the missing number", "number"], ["Correct the last call's number", "was number"]];
let sides = {};

function button(text, words, close) {
  const made = document.createElement("button");
  made.type = "button";
  made.dataset.words = words;
  label(made, text, words);
  made.addEventListener("click", () => { call(words); if (close) at("player").close(); });
  return made;
}

function openPlayer(side, number) {
  const name = sides[side];
  put("player-title", `${name}, ${said(`number ${number}`)}`);
  marked(at("player-title"));
  at("player-calls").replaceChildren(...PLAYER.map(([text, name]) => button(text, phrase(name, side, number), true)).filter((each) => each.dataset.words));
  at("player").showModal();
}

function list(id, side, players) {
  const text = JSON.stringify(players);
  const place = at(id);
  if (place.dataset.shown === text) return;
  place.dataset.shown = text;
  const focus = place.contains(document.activeElement) ? document.activeElement.dataset.number : null;
  const table = document.createElement("table");
  const head = table.createTHead().insertRow();
  for (const name of ["Number", "Points", "Fouls", ""]) {
    const cell = document.createElement(name ? "th" : "td");
    write(cell, name);
    if (name) cell.scope = "col";
    head.append(cell);
  }
  const body = table.createTBody();
  for (const player of players) {
    const row = body.insertRow();
    const first = row.insertCell();
    const open = document.createElement("button");
    open.type = "button";
    open.textContent = player.number;
    open.dataset.number = player.number;
    describe(open, `Number ${player.number}: calls`);
    open.addEventListener("click", () => openPlayer(side, player.number));
    first.append(open);
    row.insertCell().textContent = player.points;
    row.insertCell().textContent = player.fouls;
    marked(row.insertCell()).textContent = [player.out ? "OUT" : "", player.on_court ? "on court" : "", player.unlisted ? "not listed" : ""].filter(Boolean).map(said).join(", ");
    if (player.number === focus) queueMicrotask(() => open.focus());
  }
  place.replaceChildren(table);
}

const missing = (lines) => lines.split(", ").map(said).join(", ");

follow((game) => {
  speak(game);
  buttons(game);
  heading(game);
  sides = game.names;
  for (const side of ["home", "guest"]) {
    put(`${side}-list-title`, game.names[side]);
    figures(`${side}-figures`, [...teamRows(game, side), ...(game.open[side] ? [["Number missing", missing(game.open[side]), true]] : [])]);
    list(`${side}-list`, side, game.players[side]);
  }
  latest(game.latest);
  answers(game);
});

takeTyped();
