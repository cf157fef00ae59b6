// The set-up page: what is entered goes to the program after each change, which says what is wrong.

import { described, said, speak, word, worded } from "./texts.js";

const at = (id) => document.getElementById(id);
const base = location.pathname.replace(/\/$/, "");
const TEXTS = ["language", "profile", "wake", "place", "competition", "officials"];
const SIDES = { home: "Home", guest: "Guest" };
const PLAYERS_OF = { home: "Players of the home team", guest: "Players of the guest team" };
const WAIT_MS = 300;
const TELLS_MS = 2000;
const MOST_BYTES = 1_000_000;
const starters = { home: new Set(), guest: new Set() };
const sections = {};
let facts = { languages: {}, leagues: [], microphones: [], pedals: [], quiet_db: -45, loud_db: -6, hears: true };
let waits = 0;
let asked = 0;
let named = 0;

function made(tag, text, set = {}) {
  const element = document.createElement(tag);
  if (text !== undefined) element.textContent = text;
  Object.assign(element, set);
  return element;
}

async function send(path, body) {
  try {
    const answer = await fetch(`${base}/${path}`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify(body),
    });
    at("stale").hidden = true;
    return answer;
  } catch {
    at("stale").hidden = false;
    return null;
  }
}

// --- what is entered

const part = (side, name) => sections[side].querySelector(`[data-part=${name}]`);

function team(side) {
  const given = {};
  for (const name of ["name", "players", "colour", "nickname", "coach", "captain", "staff", "assistant"]) given[name] = part(side, name).value;
  given.starters = [...starters[side]];
  return given;
}

function ownKeys() {
  return [...at("own-keys").children].map((row) => ({
    table: row.querySelector("select").value,
    key: row.querySelector("[data-key]").value.trim(),
    says: row.querySelector("[data-says]").value.trim(),
  }));
}

function entered() {
  return {
    language: at("language").value || "en", profile: at("profile").value, home: team("home"), guest: team("guest"),
    duty: document.querySelector("input[name=duty]:checked").value, wake: at("wake").value,
    place: at("place").value, competition: at("competition").value, officials: at("officials").value, share: at("share").checked,
    keys: ownKeys(), pedal: at("pedal").value, ear: at("ear").value, microphone: at("microphone").value,
  };
}

// --- what the program says of it

function item(remark) {
  const element = made("li");
  if (remark.row) element.append(worded("span", `Line ${remark.row}:`), " ");
  element.append(worded("span", remark.what));
  return element;
}

function items(remarks) {
  const list = made("ul");
  list.append(...remarks.map(item));
  return list;
}

function tell(element, remarks, field) {
  element.replaceChildren(...(remarks.length ? [items(remarks)] : []));
  if (!field) return;
  if (remarks.length) field.setAttribute("aria-invalid", "true");
  else field.removeAttribute("aria-invalid");
}

function show(result) {
  const of = (field) => result.mistakes.filter((each) => each.field === field);
  for (const name of [...TEXTS, "duty", "keys"]) {
    tell(at(`${name}-wrong`), of(name), name === "duty" || name === "keys" ? null : at(name));
  }
  for (const side of Object.keys(SIDES)) {
    for (const name of ["name", "colour", "nickname", "players", "starters", "coach", "captain", "assistant"]) {
      const field = name === "starters" ? null : part(side, name);
      tell(sections[side].querySelector(`[data-wrong=${name}]`), of(`${side} ${name}`), field);
    }
    tell(sections[side].querySelector(".notes"), result.notes.filter((each) => each.field.startsWith(side)));
    if (!of(`${side} players`).length) dropOldStarters(side, result.players[side] ?? []);
    showPlayers(side, result.players[side] ?? []);
  }
  const wrong = result.mistakes.length;
  word(at("sum"), wrong === 0 ? "Nothing is wrong. This will be written:" : wrong === 1 ? "One thing is to be put right before the file can be written." : `${wrong} things are to be put right before the file can be written.`);
  at("file").textContent = result.rows.join("\n");
  at("file").hidden = !result.rows.length;
  at("write").disabled = wrong > 0;
}

// Who is no more on the list does not start; a list with a mistake has nobody for the moment.
function dropOldStarters(side, players) {
  const numbers = players.map((each) => each.number);
  const old = [...starters[side]].filter((number) => !numbers.includes(number));
  for (const number of old) starters[side].delete(number);
  if (old.length) later();
}

function showPlayers(side, players) {
  const here = sections[side].querySelector(".listed");
  const text = JSON.stringify(players);
  if (here.dataset.shown === text) return;
  here.dataset.shown = text;
  for (const name of ["coach", "captain"]) showChoice(part(side, name), players);
  if (!players.length) return here.replaceChildren();
  const table = made("table");
  const count = players.length;
  word(table.createCaption(), count === 1 ? `${count} player; tick who starts` : `${count} players; tick who starts`);
  const head = table.createTHead().insertRow();
  for (const name of ["Starts", "Number", "Name"]) head.append(worded("th", name, { scope: "col" }));
  const body = table.createTBody();
  for (const player of players) {
    const row = body.insertRow();
    const tick = made("input", undefined, { type: "checkbox", checked: starters[side].has(player.number) });
    described(tick, `Number ${player.number} starts`);
    tick.addEventListener("change", () => {
      if (tick.checked) starters[side].add(player.number);
      else starters[side].delete(player.number);
      later();
    });
    row.insertCell().append(tick);
    row.insertCell().textContent = player.number;
    row.insertCell().textContent = player.name;
  }
  here.replaceChildren(scrolling(table, PLAYERS_OF[side]));
}

function showChoice(choice, players) {
  const now = choice.value;
  choice.replaceChildren(worded("option", "none", { value: "" }), ...players.map((each) => made("option", `${each.number} ${each.name}`, { value: each.number })));
  choice.value = players.some((each) => each.number === now) ? now : "";
  choice.closest("p").hidden = !players.length;
}

async function check() {
  const mine = ++asked;
  const answer = await send("check", entered());
  if (answer === null || mine !== asked) return;
  const told = answer.ok ? await answer.json() : await answer.text();
  if (mine !== asked) return; // Something was entered meanwhile.
  if (answer.ok) show(told);
  else word(at("sum"), told);
}

function later() {
  clearTimeout(waits);
  waits = setTimeout(check, WAIT_MS);
}

// --- lists from files

const grouped = (count) => count.toLocaleString("en");

async function takeFile(side, file) {
  const preview = sections[side].querySelector(".preview");
  preview.hidden = false;
  const name = naming(preview, worded("span", "List from"), ` ${file.name}`);
  const close = worded("button", "Cancel", { type: "button" });
  close.addEventListener("click", () => { preview.hidden = true; part(side, "file").focus(); });
  const title = (what) => {
    const element = made("h3", `${file.name}: `);
    element.append(worded("span", what));
    return element;
  };
  const refuse = (what) => preview.replaceChildren(name, title("nothing was taken"), worded("p", what, { className: "wrong" }), close);
  if (file.size > MOST_BYTES) return refuse(`expected a file of at most ${grouped(MOST_BYTES)} bytes, got ${grouped(file.size)}`);
  let read;
  try {
    const answer = await fetch(`${base}/list`, { method: "POST", headers: { "Content-Type": "application/octet-stream" }, body: file });
    if (!answer.ok) return refuse(await answer.text());
    read = await answer.json();
  } catch {
    return refuse("No connection to the program, or the file cannot be read.");
  }
  const use = worded("button", "Use this list", { type: "button", className: "main" });
  use.addEventListener("click", () => {
    part(side, "players").value = read.lines.join("\n");
    starters[side] = new Set(read.players.filter((each) => each.starter).map((each) => each.number));
    sections[side].querySelector(".listed").dataset.shown = "";
    preview.hidden = true;
    part(side, "players").focus();
    check();
  });
  const buttons = made("div", undefined, { className: "row" });
  const count = read.players.length;
  buttons.append(...(count ? [use] : []), close);
  preview.replaceChildren(
    name,
    title(read.mistakes.length ? "nothing was taken" : count === 1 ? `${count} player` : `${count} players`),
    ...(read.mistakes.length ? [remarks("What is wrong", read.mistakes)] : []),
    ...(read.notes.length ? [remarks("To look at", read.notes)] : []),
    ...(read.players.length ? [listTable(read.players)] : []),
    buttons,
  );
}

// What names a region, to be put into it: its words change with the page's language, and the names
// of people in the region are not marked as that language, as they were by a label of its own.
function naming(region, ...words) {
  const name = made("span", undefined, { hidden: true, id: `name-${++named}` });
  name.append(...words);
  region.setAttribute("aria-labelledby", name.id);
  return name;
}

function scrolling(table, label) {
  const scrolls = made("div", undefined, { className: "scrolls", tabIndex: 0 });
  scrolls.setAttribute("role", "region");
  scrolls.append(naming(scrolls, worded("span", label)), table);
  return scrolls;
}

function remarks(title, told) {
  const table = made("table");
  word(table.createCaption(), title);
  const head = table.createTHead().insertRow();
  for (const name of ["Row", "Column", "What"]) head.append(worded("th", name, { scope: "col" }));
  const body = table.createTBody();
  for (const each of told) {
    const row = body.insertRow();
    row.insertCell().textContent = each.row;
    row.insertCell().textContent = each.column;
    word(row.insertCell(), each.what);
  }
  return scrolling(table, title);
}

function listTable(players) {
  const table = made("table");
  word(table.createCaption(), "As it was read");
  const head = table.createTHead().insertRow();
  for (const name of ["Number", "Name"]) head.append(worded("th", name, { scope: "col" }));
  const body = table.createTBody();
  for (const each of players) {
    const row = body.insertRow();
    row.insertCell().textContent = each.number;
    row.insertCell().textContent = each.name;
  }
  return scrolling(table, "As it was read");
}

// --- the microphone

let trying = null;

async function tryMicrophone() {
  if (trying) return trying.abort();
  trying = new AbortController();
  word(at("try"), "Stop");
  at("level").hidden = false;
  const meter = at("meter");
  meter.low = facts.quiet_db;
  meter.high = facts.loud_db;
  meter.optimum = (facts.quiet_db + facts.loud_db) / 2;
  const told = at("level-told");
  word(told, "Listening");
  meter.value = meter.min;
  let problem = "";
  let shown = { verdict: "", since: 0 };
  try {
    const answer = await fetch(`${base}/microphone`, {
      method: "POST",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ microphone: at("microphone").value }),
      signal: trying.signal,
    });
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let text = "";
    for (;;) {
      const { value, done } = await reader.read();
      if (done) break;
      text += value;
      const lines = text.split("\n");
      text = lines.pop();
      for (const line of lines) {
        const level = JSON.parse(line);
        if (level.error) { problem = level.error; continue; }
        meter.value = level.level_db;
        meter.textContent = `${Math.round(level.level_db)} dB`;
        // Changed rarely, so that a screen reader is not kept talking.
        if (level.verdict === shown.verdict && performance.now() - shown.since < TELLS_MS) continue;
        shown = { verdict: level.verdict, since: performance.now() };
        at("level").dataset.verdict = level.verdict;
        delete told.dataset.text;
        const words = level.told.map(said).join("");
        if (told.textContent !== words) told.textContent = words;
      }
    }
  } catch (error) {
    if (error.name !== "AbortError") problem = "No connection to the program.";
  }
  trying = null;
  word(at("try"), "Try the microphone");
  if (problem) word(told, problem);
}

// --- keys

const NAMES = { " ": "space", Enter: "enter", Tab: "tab", Backspace: "backspace", Escape: "escape", Insert: "insert",
  Delete: "delete", Home: "home", End: "end", PageUp: "pageup", PageDown: "pagedown", ArrowUp: "up", ArrowDown: "down",
  ArrowLeft: "left", ArrowRight: "right", ContextMenu: "menu", Pause: "pause" };

function keyName(event, table) {
  const pad = /^Numpad(\d)$/.exec(event.code);
  if (pad && table !== "keys") return `kp_${pad[1]}`;
  if (NAMES[event.key]) return NAMES[event.key];
  if (/^F\d+$/.test(event.key)) return event.key.toLowerCase();
  return [...event.key].length === 1 ? event.key.toLowerCase() : "";
}

function addKey() {
  const nth = at("own-keys").children.length + 1;
  const row = made("div", undefined, { className: "own-key" });
  const where = made("select");
  where.append(worded("option", "in the game's window", { value: "keys" }), worded("option", "in any window", { value: "everywhere" }), worded("option", "on a pedal of its own", { value: "pedal" }));
  const key = made("input", undefined, { maxLength: 40 });
  key.dataset.key = "";
  const says = made("input", undefined, { maxLength: 120, placeholder: spoken().example });
  says.dataset.says = "";
  const learn = worded("button", "Learn: press it", { type: "button" });
  described(learn, `Learn key ${nth}: then press it`);
  learn.addEventListener("click", () => {
    word(learn, "Press the key now");
    const took = (event) => {
      event.preventDefault();
      key.value = keyName(event, where.value) || key.value;
      word(learn, "Learn: press it");
      later();
    };
    document.addEventListener("keydown", took, { once: true, capture: true });
  });
  const gone = worded("button", "Remove", { type: "button" });
  described(gone, `Remove key ${nth}`);
  gone.addEventListener("click", () => { row.remove(); showPedal(); at("add-key").focus(); later(); });
  where.addEventListener("change", showPedal);
  for (const [text, field] of [["Where", where], ["Key", key], ["Says", says]]) {
    const label = made("label");
    label.append(worded("span", text), field);
    row.append(label);
  }
  row.append(learn, gone);
  at("own-keys").append(row);
  where.focus();
  later();
}

function showPedal() {
  at("pedal-field").hidden = !ownKeys().some((each) => each.table === "pedal");
}

const SLOTS = { team: "team", number: "number", left_tenths: "time", tenths: "time" };

function showCard() {
  const league = facts.leagues.find((each) => each.name === at("profile").value);
  const table = made("table");
  const head = table.createTHead().insertRow();
  for (const name of ["What is said", "Key"]) head.append(worded("th", name, { scope: "col" }));
  const body = table.createTBody();
  for (const [words, key] of league ? spoken().keys[league.name] : []) {
    const row = body.insertRow();
    const call = row.insertCell();
    call.textContent = words.replace(/\{(\w+)\}/g, (_, slot) => said(SLOTS[slot] ?? slot));
    call.lang = at("language").value;
    row.insertCell().append(made("kbd", key));
  }
  at("roles").replaceChildren(...(league ? ["(", worded("span", "in this league:"), ` ${league.officials.join(", ")})`] : []));
  at("card").replaceChildren(scrolling(table, "The keys of this league"));
}

// --- writing

async function write() {
  const answer = await send("write", entered());
  if (answer === null) return;
  at("next").hidden = !answer.ok;
  if (!answer.ok) {
    word(at("written"), await answer.text());
    return;
  }
  const done = await answer.json();
  delete at("written").dataset.text;
  at("written").replaceChildren(worded("span", "Written:"), ` ${done.files.join(", ")}`);
  at("next-try").textContent = done.try;
  at("next-keep").textContent = done.keep;
  showCodes(done.codes);
}

// The hall's code is for everybody who sees this screen; the partner's is shown when it is asked for.
function showCodes(codes) {
  at("codes").hidden = !codes.hall;
  showPartner(false);
  for (const [page, url] of Object.entries(codes)) {
    at(`code-${page}`).src = `${base}/codes/${page}.svg`;
    at(`url-${page}`).textContent = url;
  }
}

function showPartner(shown) {
  at("partner-code").hidden = !shown;
  at("show-partner").setAttribute("aria-expanded", String(shown));
  word(at("show-partner"), shown ? "Hide the partner's code" : "Show the partner's code");
}

async function end() {
  await send("end", {});
  word(at("sum"), "Finished. You can close this page, and go on in the terminal.");
  for (const each of document.querySelectorAll("button, input, select, textarea")) each.disabled = true;
}

// --- the language

const spoken = () => facts.languages[at("language").value] ?? { texts: {}, keys: {}, example: "", heard: true };

// The page is shown in the language of the game.
function showLanguage() {
  speak({ language: at("language").value, texts: spoken().texts });
  const { heard, example } = spoken();
  at("ear").disabled = at("microphone").disabled = !heard;
  at("deaf").hidden = heard;
  at("no-ear").hidden = facts.hears || !heard;
  for (const each of document.querySelectorAll("[data-says]")) each.placeholder = example;
  showCard();
}

// A language is named as its own speakers name it.
function languageOption(code) {
  const name = new Intl.DisplayNames([code], { type: "language" }).of(code);
  return made("option", name, { value: code, lang: code });
}

// --- the beginning

function newTeam(side) {
  const section = at("team").content.cloneNode(true).firstElementChild;
  word(section.querySelector("h2"), SIDES[side]);
  section.querySelector("h2").id = `${side}-title`;
  section.setAttribute("aria-labelledby", `${side}-title`);
  for (const field of section.querySelectorAll("[data-part]")) {
    field.id = `${side}-${field.dataset.part}`;
    field.closest("p").querySelector("label").htmlFor = field.id;
    const wrong = section.querySelector(`[data-wrong=${field.dataset.part}]`);
    if (wrong) {
      wrong.id = `${field.id}-wrong`;
      field.setAttribute("aria-describedby", wrong.id);
    }
  }
  section.querySelector("[data-part=file]").addEventListener("change", (event) => {
    const [file] = event.target.files;
    event.target.value = "";
    if (file) takeFile(side, file);
  });
  sections[side] = section;
  at("teams").append(section);
}

async function begin() {
  for (const side of Object.keys(SIDES)) newTeam(side);
  for (const name of TEXTS) at(name).setAttribute("aria-describedby", `${name}-wrong`);
  // Before the facts come, which takes a moment: a button that was pressed early must do its work.
  at("form").addEventListener("input", later);
  at("form").addEventListener("submit", (event) => event.preventDefault());
  at("profile").addEventListener("change", showCard);
  at("language").addEventListener("change", showLanguage);
  at("add-key").addEventListener("click", addKey);
  at("try").addEventListener("click", tryMicrophone);
  at("write").addEventListener("click", write);
  at("end").addEventListener("click", end);
  at("show-partner").addEventListener("click", () => showPartner(at("partner-code").hidden));
  const answer = await fetch(`${base}/facts`);
  facts = await answer.json();
  at("language").append(...Object.keys(facts.languages).map(languageOption));
  at("language").value = facts.language;
  at("profile").append(worded("option", "choose", { value: "" }), ...facts.leagues.map((each) => made("option", each.title, { value: each.name })));
  at("microphone").append(...facts.microphones.map((each) => made("option", each, { value: each })));
  at("pedal").append(...facts.pedals.map((each) => made("option", each, { value: each })));
  if (!facts.pedals.length) at("pedal").append(worded("option", "none can be opened on this machine: see callout check", { value: "" }));
  showLanguage();
  check();
}

begin();
