import { at, figures, follow, heading, put, teamRows } from "./page.js";
import { marked, said, speak } from "./texts.js";

let told = "";

follow((game) => {
  speak(game);
  heading(game);
  for (const side of ["home", "guest"]) figures(`${side}-figures`, teamRows(game, side));
  // For a screen reader: the score when it changes, and nothing every second.
  const now = `${game.names.home} ${game.score.home}, ${game.names.guest} ${game.score.guest}. ${said(game.period)}, ${said(game.state)}.`;
  if (now !== told) put("told", (told = now));
  marked(at("told"));
  document.title = `${game.score.home}:${game.score.guest} ${game.names.home} - ${game.names.guest}`;
});
