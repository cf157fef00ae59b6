// Calls that are made on a page: sent to the table, and the last ones with their answers.

import { at, put } from "./page.js";
import { marked, said } from "./texts.js";

const BY_ITSELF = "(table)"; // Nobody called: it stands where a call's words do.
let language = "en";
let known = {};

// What a button says in the language of the game; empty where the language has no such call.
export function phrase(name, side, number) {
  return (known[name] ?? "").replace("{team}", known[side] ?? side ?? "").replace("{number}", number ?? "");
}

// In another language than the page's a button shows what it says.
export function label(made, text, words) {
  made.textContent = language === "en" ? text : words;
  if (language !== "en") made.lang = language;
}

export function buttons(game) {
  if (known === game.words || JSON.stringify(known) === JSON.stringify(game.words)) return;
  [known, language] = [game.words, game.language];
  for (const each of document.querySelectorAll("button[data-call]")) {
    const words = phrase(each.dataset.call, each.dataset.side);
    each.hidden = !words;
    label(each, each.textContent, words);
    each.onclick = () => call(words);
  }
}

export function answers(game) {
  if (at("question").dataset.shown === game.question) return;
  at("question").dataset.shown = game.question;
  put("question", game.question);
  marked(at("question"));
  const made = [["Yes", "yes"], ["No", "no"]].map(([text, name]) => {
    const button = document.createElement("button");
    button.type = "button";
    label(button, text, phrase(name));
    button.addEventListener("click", () => call(phrase(name)));
    return button;
  });
  at("answers").replaceChildren(...(game.question ? made : []));
}

export const call = (words) => send("call", { say: words }, words);

// What was done goes to the table; `words` is how it is named. Whether the server took it.
export async function send(deed, body, words) {
  put("sent", `${said("Sent:")} ${words}`);
  marked(at("sent"));
  try {
    const answer = await fetch(`${location.pathname.replace(/\/$/, "")}/${deed}`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
    });
    if (!answer.ok) put("sent", `${said("Not taken:")} ${words}. ${said(await answer.text())}`);
    return answer.ok;
  } catch {
    put("sent", `${said("Not sent, no connection:")} ${words}`);
    return false;
  }
}

export function takeTyped() {
  at("typed").addEventListener("submit", async (event) => {
    event.preventDefault();
    const words = at("words").value.trim();
    at("words").value = "";
    // What did not reach the table stays to be sent again, unless something else is typed already.
    if (words && !(await call(words)) && !at("words").value) at("words").value = words;
  });
}

export function latest(calls) {
  const place = at("latest");
  const text = JSON.stringify(calls);
  if (place.dataset.shown === text) return;
  place.dataset.shown = text;
  place.replaceChildren(...calls.map(({ words, reply }) => {
    const item = marked(document.createElement("li"));
    const called = document.createElement("span");
    called.className = "said";
    called.textContent = words === BY_ITSELF ? said("(table)") : words;
    item.append(called, reply);
    return item;
  }));
}
