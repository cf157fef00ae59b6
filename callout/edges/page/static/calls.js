// Calls that are made on a page: sent to the table, and the last ones with their answers.

import { at, put } from "./page.js";

export async function call(words) {
  put("sent", `Sent: ${words}`);
  try {
    const answer = await fetch(`${location.pathname.replace(/\/$/, "")}/call`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ say: words }),
    });
    if (!answer.ok) put("sent", `Not taken: ${words}. ${await answer.text()}`);
  } catch {
    put("sent", `Not sent: ${words}. No connection.`);
  }
}

export function takeTyped() {
  at("typed").addEventListener("submit", (event) => {
    event.preventDefault();
    const words = at("words").value.trim();
    if (words) call(words);
    at("words").value = "";
  });
}

export function latest(calls) {
  const place = at("latest");
  const text = JSON.stringify(calls);
  if (place.dataset.shown === text) return;
  place.dataset.shown = text;
  place.replaceChildren(...calls.map(({ words, reply }) => {
    const item = document.createElement("li");
    const said = document.createElement("span");
    said.className = "said";
    said.textContent = words;
    item.append(said, reply);
    return item;
  }));
}
