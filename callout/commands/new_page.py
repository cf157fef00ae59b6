"""`callout new --page`: a page in a browser that asks for all of a game's setup, and writes it."""

from __future__ import annotations

import secrets
import tempfile
from collections.abc import Iterator, Mapping, Set
from contextlib import closing
from functools import cache, partial
from pathlib import Path
from typing import Any, Final

from callout.commands.live import OFF
from callout.commands.new import check_free, check_writable, free_path, write_rows
from callout.commands.spoken import ENGLISH, check_code, is_heard
from callout.edges.ear.level import LOUD_DB, QUIET_DB, Level, levels
from callout.edges.ear.messages import Mode
from callout.edges.keys.pedals import device_names
from callout.edges.models.catalogue import RECOGNIZER, find_model
from callout.edges.models.words import model_words
from callout.edges.page.addresses import LOOPBACK, PORT, TOKEN_BYTES, Addresses, own_address
from callout.edges.page.promised import promise
from callout.edges.page.server import Server, listening, new_server, serve_until_ended
from callout.edges.page.setup_app import Entered, Tools, setup_application
from callout.edges.sound_devices import microphones
from callout.errors import CalloutError, InputError, ModelError, why
from callout.game.profile.file import load_profile, profile_names
from callout.language.check import open_language
from callout.language.grammar import Grammar, Scope, language_folder
from callout.language.shipped import languages
from callout.plain import plain, quoted
from callout.table.hands.buttons import button_words, page_texts
from callout.table.hands.key_card import key_card
from callout.table.hands.key_file import read_keys
from callout.table.hands.written_keys import key_rows
from callout.table.language import patterns_of
from callout.table.setup.form import NEW, Checked, Remark, check_form
from callout.table.setup.written import named_after

TRIES_S: Final = 30.0
"""How long a microphone is tried at most."""

WRONG_STILL: Final = "something is wrong still: nothing was written"
NO_NETWORK: Final = "this machine is in no network: leave sharing out"

CARD: Final = ("Score", "Fouls", "Clock and periods", "Time-outs and substitutes", "Mistakes")
"""The groups of the card of keys that the page shows."""


def new_page(file: Path | None, port: int, language: str = ENGLISH) -> int:
    """Serve the page until it is done with; returns the exit status.

    `language` is the code of the one that is offered.

    Raises:
        CalloutError: the file exists already, there is no such language, or nothing can listen on
            the port.
    """
    check_code(language)
    if file is None:
        check_writable(Path())
    else:
        check_free(file)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    try:
        listener = listening(None, port)
    except OSError as error:
        raise CalloutError(f"port {port}: {why(error)}; choose another: --page PORT") from None
    number = int(listener.getsockname()[1])
    page = Page(file, language)
    hosts = frozenset(f"{name}:{number}" for name in (LOOPBACK, "localhost"))
    page.server = new_server(setup_application(token, hosts, page.tools()), complains=False)
    print(f"Open this page in a browser: http://{LOOPBACK}:{number}/setup/{token}", flush=True)
    print("Ctrl-C ends it; nothing is written before you say so.", flush=True)
    with closing(listener):
        serve_until_ended(page.server, listener)
    return 0


class Page:
    """What the page can do: it checks, tries and writes on this machine."""

    def __init__(self, file: Path | None = None, language: str = ENGLISH) -> None:
        """`file` is the new setup file; None for one that is named after the teams. `language` is
        the code of the one that is offered.
        """
        self._file, self._language = file, language
        self._paths: dict[Path, Path] = {}
        self._written: dict[Path, list[str]] = {}
        """What was written, by path: it may be written again while nobody else has changed it."""
        self._shown: Addresses | None = None
        """Where the game's pages will be, once its setup was written with them to be shared."""
        self.server: Server | None = None

    def tools(self) -> Tools:
        """All of it."""
        return Tools(
            partial(facts, self._language), self.check, self.write, tried, self.code, self.end
        )

    def check(self, entered: Entered) -> tuple[Checked, list[Remark]]:
        """What comes of the form, and what is wrong with the keys."""
        # The words that the ear knows are those of its recognizer, which hears English.
        known = ear_words() if entered.language == ENGLISH else None
        return check_form(entered.form(), _grammar(entered.language), known), wrong_keys(entered)

    def write(self, entered: Entered) -> Mapping[str, Any]:
        """Write the setup file, and the file of keys if there are own ones.

        Raises:
            CalloutError: something is wrong still, or a file cannot be written.
        """
        checked, keys = self.check(entered)
        if checked.mistakes or keys:
            raise CalloutError(WRONG_STILL)
        path = self._path(entered)
        own = [row for _, row in key_rows(entered.own_keys(), entered.pedal)]
        files = {path: list(checked.rows)}
        if own:
            files[path.with_suffix(".keys.toml")] = own
        for each in files:
            self._check_ours(each)
        for each, rows in files.items():
            write_rows(each, rows)
            self._written[each] = rows
            print(plain(f"Written: {each}"), flush=True)
        codes = self._promise(path.with_suffix(".game")) if entered.share else {}
        commands = _commands(path, path.with_suffix(".keys.toml") if own else None, entered)
        for command in commands.values():
            print(f"  {command}", flush=True)
        return {"files": [str(each) for each in files], "codes": codes, **commands}

    def _promise(self, game: Path) -> dict[str, str]:
        """The addresses that the game's pages will have, by page.

        Raises:
            CalloutError: this machine is in no network, or the tokens cannot be kept.
        """
        shared = own_address()
        if shared is None:
            raise CalloutError(NO_NETWORK)
        if self._shown is None or self._shown.shared != shared:
            self._shown = Addresses(PORT, shared)
        try:
            promise(game, self._shown)
        except OSError as error:
            raise CalloutError(f"the codes cannot be kept: {why(error)}") from None
        return {page: self._shown.url(page) for page in ("hall", "partner")}

    def code(self, page: str) -> str | None:
        """The address that a code leads to."""
        return self._shown.url(page) if self._shown else None

    def _path(self, entered: Entered) -> Path:
        """The same path again for the same teams, else one where nothing lies."""
        wanted = self._file or Path(named_after((entered.home.name, entered.guest.name)))
        if wanted not in self._paths:
            self._paths[wanted] = wanted if self._file else free_path(wanted)
        return self._paths[wanted]

    def _check_ours(self, path: Path) -> None:
        if path not in self._written:
            check_free(path)
            return
        text = "".join(f"{row}\n" for row in self._written[path])
        if not path.is_file() or path.read_bytes() != text.encode():
            raise CalloutError(f"{path}: somebody else has changed it since it was written")

    def end(self) -> None:
        """Serve no more."""
        if self.server is not None:
            self.server.should_exit = True


def _grammar(language: str) -> Grammar:
    return open_language(language_folder(language))


@cache
def ear_words() -> Set[str] | None:
    """The words that the ear knows; None where no recognizer was fetched."""
    try:
        return model_words(find_model(RECOGNIZER))
    except ModelError:
        return None


@cache
def _leagues() -> list[dict[str, Any]]:
    profiles = [load_profile(name) for name in profile_names()]
    return [
        {"name": each.name, "title": each.title, "on_court": each.roster.on_court,
         "officials": list(each.sheet.officials)}
        for each in profiles
    ]  # fmt: skip


@cache
def _spoken(language: str) -> dict[str, Any]:
    """What the page shows in a language, and whether an ear of the program can hear it."""
    grammar = _grammar(language)
    words = button_words(grammar)
    return {
        "texts": page_texts(grammar.folder).of_setup(),
        "keys": {profile: _card(grammar, profile) for profile in profile_names()},
        "example": words["timeout"].replace("{team}", words["home"]),
        "heard": is_heard(language),
    }


def _card(grammar: Grammar, profile: str) -> list[list[str]]:
    card = key_card(grammar, patterns_of(grammar), load_profile(profile))
    rows = (row for group in CARD for row in card.get(group, ()))
    return [[row.words, " ".join(row.keys)] for row in rows if row.keys and not row.heavy]


def facts(language: str = ENGLISH) -> Mapping[str, Any]:
    """What there is to choose from on this machine; `language` is the one that is offered."""
    return {
        "language": language,
        "languages": {code: _spoken(code) for code in languages()},
        "leagues": _leagues(),
        "microphones": microphones(),
        "pedals": device_names(),
        "ears": [mode.value for mode in Mode],
        "quiet_db": QUIET_DB,
        "loud_db": LOUD_DB,
        "hears": ear_words() is not None,
    }


def wrong_keys(entered: Entered) -> list[Remark]:
    """What is wrong with the own keys: the first mistake, as the reader of such files finds it."""
    rows = key_rows(entered.own_keys(), entered.pedal)
    seen: set[tuple[str, str]] = set()
    for nth, key in enumerate(entered.keys, start=1):
        if not key.key.strip():
            return [Remark("keys", "press the key", nth)]
        if not key.says.strip():
            return [Remark("keys", "expected words, got nothing", nth)]
        if (key.table, key.key) in seen:
            return [Remark("keys", f"expected each key once, got {key.key!r} again", nth)]
        seen.add((key.table, key.key))
    try:
        with tempfile.TemporaryDirectory(prefix="callout-keys-") as folder:
            path = Path(folder) / NEW.with_suffix(".toml").name
            path.write_text("\n".join(row for _, row in rows), encoding="utf-8")
            read_keys(path, _grammar(entered.language), Scope())
    except InputError as error:
        nth = rows[error.line - 1][0] if error.line and error.line <= len(rows) else -1
        # Whose key it is, is told by its line.
        own = f"{entered.keys[nth].key}: " if nth >= 0 else ""
        return [Remark("keys", error.what.removeprefix(own), nth + 1)]
    return []


def tried(microphone: str) -> Iterator[Level]:
    """The levels of a microphone, for a while."""
    return levels(microphone or None, TRIES_S)


def _commands(path: Path, keys: Path | None, entered: Entered) -> dict[str, str]:
    """What is typed next: to try the game without sound, and to keep it."""
    setup, game = (quoted(each) for each in (path, path.with_suffix(".game")))
    own = f" --keys {quoted(keys)}" if keys else ""
    mode = entered.ear if is_heard(entered.language) else OFF
    ear = f" --ear {mode}" if mode != Mode.OPEN.value else ""
    microphone = entered.microphone if mode != OFF else ""
    heard = f" --microphone {quoted(microphone)}" if microphone else ""
    shared = " --share" if entered.share else ""
    plainly = "--ear off --voice print --keys typed"
    return {
        "try": f"callout live practice.game --setup {setup} {plainly}",
        "keep": f"callout live {game} --setup {setup}{own}{ear}{heard} --page {PORT}{shared}",
    }
