// After the game: what is open, the sheet, and the exports, as the game's file has them.

import { followApproval, showApproval, takeApproval } from "./approval.js";
import { answers, buttons, latest, takeTyped } from "./calls.js";
import { at, follow, heading, put } from "./page.js";
import { marked, put as putText, putLine, putPrinted, said, speak } from "./texts.js";

const papers = `${location.pathname.replace(/\/$/, "")}/papers`;
const WAIT_MS = 400;
let waits = 0;
let renewing = false;
let again = false; // Whether the game changed while it was asked for.
let drawn = "";

// Each of the lines is written into its item by `write`.
function list(id, lines, write) {
  const place = at(id);
  const text = JSON.stringify(lines);
  if (place.dataset.shown === text) return;
  place.dataset.shown = text;
  place.replaceChildren(...lines.map((each) => {
    const item = document.createElement("li");
    write(item, each);
    return item;
  }));
}

async function get(name) {
  const answer = await fetch(`${papers}/${name}`);
  if (!answer.ok) throw new Error(await answer.text());
  return answer.json();
}

// Below what stands in page.yaml, the program's own line is English.
function problem(told) {
  const place = at("problem");
  if (place.dataset.shown === told) return;
  place.dataset.shown = told;
  const [what, ...details] = told.split("\n");
  const [lead, own] = [document.createElement("span"), document.createElement("span")];
  putText(lead, what);
  own.lang = "en";
  own.textContent = details.join(" ");
  place.replaceChildren(lead, " ", own);
}

function settle({ open, approved }) {
  if (!open.length) return said("Nothing is open.");
  if (approved) return said("Left open when the score was approved; a signed correction can still put it right.");
  return said("Call what is missing, such as \"number five\".");
}

// One after the other: an answer about an older book would overtake one about a newer.
async function renew() {
  if (renewing) {
    again = true;
    return;
  }
  renewing = true;
  try {
    const state = await get("state.json");
    list("open", state.open, putLine);
    // A closed book takes signed corrections alone.
    at("typed").hidden = at("calls").hidden = Boolean(state.approved);
    const settled = settle(state);
    put("open-told", state.over ? settled : `${said("The game is not over.")} ${settled}`);
    marked(at("open-told"));
    showApproval(state);
    list("signatures", state.signatures, (item, role) => putPrinted(item, role, state.language));
    put("mark", state.mark);
    put("entries", state.entries);
    if (state.mark !== drawn) await draw();
    problem("");
  } catch (error) {
    problem(error.message);
  } finally {
    renewing = false;
  }
  if (again) {
    again = false;
    await renew();
  }
}

async function draw() {
  // The book may have changed since its state was asked for: its pictures have a mark of their own.
  const { mark, pages } = await get("sheet-pages.json");
  drawn = mark;
  at("pages").replaceChildren(...Array.from({ length: pages }, (_, nth) => {
    const picture = marked(document.createElement("img"));
    picture.alt = `${said("The score sheet")}, ${nth + 1}/${pages}. ${said("The book as text, below, says the same.")}`;
    // The mark makes another address of it when the book has changed.
    picture.src = `${papers}/${mark}/sheet-${nth + 1}.png`;
    return picture;
  }));
}

follow((game) => {
  speak(game);
  heading(game);
  latest(game.latest);
  answers(game);
  buttons(game);
  followApproval(game);
  clearTimeout(waits);
  waits = setTimeout(renew, WAIT_MS);
});

for (const each of document.querySelectorAll("a[data-paper]")) each.href = `${papers}/${each.dataset.paper}`;
takeTyped();
takeApproval();
