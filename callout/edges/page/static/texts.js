// The words of a page in the language of the game. English stands in the page itself and in what the
// table tells of the game; another language has its words in page.yaml of its folder, by the English
// ones. There {n} stands for a number, "Period {n}" for "Period 2", and {q} for what is quoted,
// or for the code of a sign.

let texts = {};
let language = "en";

const OPEN = /\B'[^']*'\B|"[^"]*"|U\+[0-9A-F]+|0x[0-9a-f]+|\d+(?:,\d{3})*/g;

function found(english) {
  if (texts[english] !== undefined) return texts[english];
  const given = { "{n}": [], "{q}": [] };
  const key = english.replace(OPEN, (each) => {
    const place = /^\d[\d,]*$/.test(each) ? "{n}" : "{q}";
    given[place].push(each);
    return place;
  });
  return texts[key]?.replace(/\{[nq]\}/g, (place) => given[place].shift());
}

export const said = (english) => found(english) ?? english;

function write(place, english, into) {
  const words = found(english);
  into(words ?? english);
  if (words !== undefined) place.lang = language;
  else place.removeAttribute("lang");
}

export const put = (place, english) => write(place, english, (words) => { place.textContent = words; });

// What is put together of words of the language, as a call and its reply are: a screen reader must
// not read it as English.
export function marked(place) {
  if (language === "en") place.removeAttribute("lang");
  else place.lang = language;
  return place;
}

// What a screen reader says of it.
export const describe = (place, english) => write(place, english, (words) => place.setAttribute("aria-label", words));

// The same for what stays while the page's language is changed: its English is kept beside it.
export function word(place, english) {
  place.dataset.text = english;
  put(place, english);
  return place;
}

export function worded(tag, english, set = {}) {
  return word(Object.assign(document.createElement(tag), set), english);
}

export function described(place, english) {
  place.dataset.described = english;
  describe(place, english);
  return place;
}

// A line about the book, in words of the game's papers, which come in its language.
export const line = ({ team, text }) => (team ? `${team}: ` : "") + text;

export function putPrinted(place, text, written) {
  place.textContent = text;
  if (written !== "en") place.lang = written;
}

export const putLine = (place, note) => putPrinted(place, line(note), note.language);

export function speak(game) {
  if (!game.texts || language === game.language) return;
  [texts, language] = [game.texts, game.language];
  for (const each of document.querySelectorAll("[data-text]")) word(each, each.dataset.text || each.textContent.trim());
  for (const each of document.querySelectorAll("[data-described]")) described(each, each.dataset.described || each.getAttribute("aria-label"));
}
