// The words of a page in the language of the game. English stands in the page itself and in what the
// table tells of the game; another language has its words in page.yaml of its folder, by the English
// ones. There {n} stands for a number: "Period {n}" for "Period 2".

let texts = {};
let language = "en";

function found(english) {
  const numbers = english.match(/\d+/g) ?? [];
  const words = texts[english] ?? texts[english.replace(/\d+/g, "{n}")];
  return words?.replaceAll("{n}", () => numbers.shift());
}

export const said = (english) => found(english) ?? english;

export function put(place, english) {
  place.textContent = said(english);
  if (found(english) !== undefined) place.lang = language;
}

// What a screen reader says of it.
export function describe(place, english) {
  place.setAttribute("aria-label", said(english));
  if (found(english) !== undefined) place.lang = language;
}

export function speak(game) {
  if (!game.texts || language === game.language) return;
  [texts, language] = [game.texts, game.language];
  for (const each of document.querySelectorAll("[data-text]")) put(each, each.textContent.trim());
  for (const each of document.querySelectorAll("[data-described]")) describe(each, each.getAttribute("aria-label"));
}
