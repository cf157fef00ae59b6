// The approval of the score, and the signed corrections after it. What is open is answered first.

import { send } from "./calls.js";
import { at } from "./page.js";
import { line, marked, put, putLine, said } from "./texts.js";

const SHIRT = /^(0|00|[1-9][0-9]?)$/;
const answered = new Set(); // What was left open or looked at, by its words.
let sent = null; // The words of the correction that was sent last.
let signatures = 0;
let waits = null; // The words of what was sent, until the table has answered.

function made(tag, text, set = {}) {
  const element = document.createElement(tag);
  if (text !== undefined) put(element, text);
  return Object.assign(element, set);
}

function tick(what, text) {
  const label = made("label", undefined, { className: "tick" });
  const box = made("input", undefined, { type: "checkbox", checked: answered.has(what) });
  box.addEventListener("change", () => (box.checked ? answered.add(what) : answered.delete(what)));
  label.append(box, made("span", text));
  return label;
}

// A line of the list: a group that has its words for a name.
function row(note, ...answers) {
  const item = made("li");
  const group = made("div");
  const words = made("p");
  putLine(words, note);
  group.setAttribute("role", "group");
  group.setAttribute("aria-label", words.textContent);
  if (words.lang) group.lang = words.lang;
  group.append(words, ...answers);
  item.append(group);
  return item;
}

// A line of the book that has no number: give it, or leave it open.
function numberless(note) {
  const label = made("label");
  const number = made("input", undefined, { inputMode: "numeric", maxLength: 2, size: 4, autocomplete: "off" });
  label.append(made("span", "Number"), " ", number);
  const give = made("button", "Give the number", { type: "button" });
  const giveIt = () => {
    const given = number.value.trim();
    const known = SHIRT.test(given);
    number.setAttribute("aria-invalid", String(!known));
    tell("approval-wrong", known ? "" : "Expected a shirt number: 0, 00, or 1 to 99.");
    if (known) send("number", { item: note.item, number: given }, given);
    else number.focus();
  };
  give.addEventListener("click", giveIt);
  number.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    giveIt();
  });
  const answers = made("div", undefined, { className: "row" });
  answers.append(label, give, tick(line(note), "Leave it open"));
  return row(note, answers);
}

const looked = (note) => row(note, tick(line(note), "Looked at"));

function list(id, state, rows) {
  const place = at(id);
  const text = JSON.stringify(state);
  if (place.dataset.shown === text) return;
  place.dataset.shown = text;
  place.replaceChildren(...rows());
}

export function showApproval(state) {
  const one = state.approved;
  at("approval").hidden = !state.over || Boolean(one);
  at("approved").hidden = !one;
  if (!state.over) return tell("approval-told", "The score is approved when the game is over.");
  if (one) return showApproved(state);
  const nothing = !state.lines.length && !state.looks.length;
  tell("approval-told", nothing ? "Nothing is open: the score can be approved." : "Answer what is open first.");
  const focused = at("to-answer").contains(document.activeElement);
  list("to-answer", [state.lines, state.looks], () => [...state.lines.map(numberless), ...state.looks.map(looked)]);
  if (focused && !at("to-answer").contains(document.activeElement)) {
    (at("to-answer").querySelector("input") ?? at("approve-name")).focus();
  }
}

function tell(id, english) {
  if (at(id).textContent !== said(english)) put(at(id), english);
}

function showApproved(state) {
  const { home, guest, entry, by } = state.approved;
  const mark = state.approved_mark ? `, ${said("mark")} ${state.approved_mark}` : "";
  const text = `${said("Approved")}${by ? ` (${by})` : ""}: ${home} : ${guest}; ${said("entries:")} ${entry}${mark}`;
  if (at("approval-told").textContent !== text) marked(at("approval-told")).textContent = text;
  tell("no-signatures", state.signed.length ? "" : "None so far.");
  list("corrections", state.signed, () => state.signed.map(({ entry: nr, by: who, reason }) => {
    const item = marked(document.createElement("li"));
    item.textContent = `${said("Entry")} ${nr}, ${said("signed")} ${who}: ${reason}`;
    return item;
  }));
  if (sent && state.signed.length > signatures) {
    at("sign").reset();
    sent = null;
    tell("sign-told", "The correction stands in the list above.");
  }
  signatures = state.signed.length;
}

// The first field that is not filled in, marked and focused; false where all are.
function lacks(form, problem) {
  for (const field of form.querySelectorAll("[data-needed]")) field.removeAttribute("aria-invalid");
  const open = [...form.querySelectorAll("#to-answer [type=checkbox]")].find((each) => !each.checked);
  const empty = open ?? [...form.querySelectorAll("[data-needed]")].find((each) => !each.value.trim());
  tell(problem, open ? "Something above is not answered yet." : empty ? "This must be filled in." : "");
  if (!empty) return false;
  if (!open) empty.setAttribute("aria-invalid", "true");
  empty.focus();
  return true;
}

// What the table says to what was done here: its question gets the focus, its answer is shown.
export function followApproval(game) {
  if (waits && game.latest.some(({ words }) => words === waits)) {
    waits = null;
    if (game.question) at("answers").querySelector("button")?.focus();
  }
  // The table may ask back: then the answer to its question counts.
  const answer = sent && game.latest.some(({ words }) => words === sent) && game.latest[0];
  if (answer && at("sign-told").textContent !== answer.reply) marked(at("sign-told")).textContent = answer.reply;
}

export function takeApproval() {
  at("approval").addEventListener("submit", async (event) => {
    event.preventDefault();
    if (lacks(event.target, "approval-wrong")) return;
    const [name, role] = ["approve-name", "approve-role"].map((id) => at(id).value.trim());
    waits = `${name}, ${role}`;
    await send("approve", { name, role }, waits);
  });
  at("sign").addEventListener("submit", async (event) => {
    event.preventDefault();
    if (lacks(event.target, "sign-wrong")) return;
    const [say, name, reason] = ["sign-words", "sign-name", "sign-reason"].map((id) => at(id).value.trim());
    at("sign-told").textContent = "";
    waits = sent = say;
    await send("sign", { say, name, reason }, say);
  });
}
