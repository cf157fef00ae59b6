// The words of a page in the language of the game. English stands in the page itself; another
// language has its words in page.yaml of its folder, by the English ones.

let texts = {};
let language = "en";

export const said = (english) => texts[english] ?? english;

export function put(place, english) {
  place.textContent = said(english);
  if (english in texts) place.lang = language;
}

export function speak(game) {
  if (!game.texts || language === game.language) return;
  [texts, language] = [game.texts, game.language];
  for (const each of document.querySelectorAll("[data-text]")) put(each, each.textContent.trim());
}
