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

function write(place, english, into) {
  const words = found(english);
  into(words ?? english);
  if (words !== undefined) place.lang = language;
}

export const put = (place, english) => write(place, english, (words) => { place.textContent = words; });

// What a screen reader says of it.
export const describe = (place, english) => write(place, english, (words) => place.setAttribute("aria-label", words));

// A line about the book: a team, which is called the same in any language, and pieces of a text.
export const line = ({ team, pieces }) => (team ? `${team}: ` : "") + pieces.map(said).join("");

export function putLine(place, note) {
  place.textContent = line(note);
  if (note.pieces.some(found)) place.lang = language;
}

export function speak(game) {
  if (!game.texts || language === game.language) return;
  [texts, language] = [game.texts, game.language];
  for (const each of document.querySelectorAll("[data-text]")) put(each, each.textContent.trim());
  for (const each of document.querySelectorAll("[data-described]")) describe(each, each.getAttribute("aria-label"));
}
