"""A league's answers as pages that can only be read: tables of plain HTML, without a script.

What is shown is asked for anew with each request, and kept nowhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from string import Template

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from callout.edges.page.answers import STATIC, knows, nowhere, static_file
from callout.edges.page.guard import Guard, Rate
from callout.errors import CalloutError


@dataclass(frozen=True, slots=True)
class Shown:
    """One answer, as it is shown."""

    title: str
    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    numbers: frozenset[int] = frozenset()
    """The columns that hold numbers alone."""
    names: int = 0
    """The column that says what a row is about."""
    league: str = ""
    notes: Sequence[str] = ()
    """What else is to be known of it."""


Ask = Callable[[str, str], Shown]
"""Asks for an answer by its word, and by what it is to be about; raises CalloutError."""

Words = Mapping[str, Sequence[str]]
"""Each answer's word, and what it may be about: the first where nothing is said."""


class LeaguePage:
    """Answers the requests that the guard lets through."""

    def __init__(self, token: str, words: Words, ask: Ask) -> None:
        self._token, self._words, self._ask = token, words, ask
        self._page = Template((STATIC / "league.html").read_text(encoding="utf-8"))

    def answer(self, request: Request) -> Response:
        """The page of one answer; 503 where it cannot be had now, with the reason on it."""
        if not knows(request, self._token):
            return nowhere()
        word = str(request.path_params.get("word", next(iter(self._words))))
        abouts = self._words.get(word)
        about = str(request.path_params.get("about", abouts[0] if abouts else ""))
        if abouts is None or (about and about not in abouts):
            return nowhere()
        try:
            return self._shown(word, about, self._ask(word, about), 200)
        except CalloutError as error:
            told = Shown(word.capitalize(), (), (), notes=(str(error),))
            return self._shown(word, about, told, 503)

    def _shown(self, word: str, about: str, shown: Shown, status: int) -> Response:
        at = f"/league/{self._token}"
        links = _links([(f"{at}/{each}", each, each == word) for each in self._words])
        abouts = self._words[word]
        more = _links([(f"{at}/{word}/{each}", each, each == about) for each in abouts])
        return HTMLResponse(self._page.substitute(
            title=escape(shown.title),
            league=escape(shown.league or "League"),
            links=links,
            more=f'<nav aria-label="{escape(word.capitalize())} in">{more}</nav>' if abouts else "",
            notes="".join(f"<p>{escape(each)}</p>" for each in shown.notes),
            kind="wrong" if status != 200 else "notes",
            table=_table(shown) if status == 200 else "",
        ), status)  # fmt: skip


def _links(links: Iterable[tuple[str, str, bool]]) -> str:
    return '<ul class="row">' + "".join(
        f'<li><a class="button" href="{escape(to)}"{" aria-current=page" if here else ""}>'
        f"{escape(name.capitalize())}</a></li>"
        for to, name, here in links
    ) + "</ul>"  # fmt: skip


def _table(shown: Shown) -> str:
    if not shown.rows:
        return "<p>There is nothing to show.</p>"
    heads = "".join(
        f'<th scope="col"{_kind(shown, at)}>{escape(head.capitalize())}</th>'
        for at, head in enumerate(shown.heads)
    )
    rows = "".join(f"<tr>{''.join(_cells(shown, row))}</tr>\n" for row in shown.rows)
    title = escape(shown.title)
    # What is wider than the window is moved within its own frame, by keys, too.
    return (f'<div class="wide" role="region" tabindex="0" aria-label="{title}">'
            f'<table><caption class="unseen">{title}</caption><thead><tr>{heads}</tr></thead>\n'
            f"<tbody>\n{rows}</tbody></table></div>")  # fmt: skip


def _cells(shown: Shown, row: Sequence[str]) -> Iterable[str]:
    for at, text in enumerate(row):
        # A name may be written from right to left; what stands beside it is not.
        told = f"<bdi>{escape(text)}</bdi>"
        if at == shown.names:
            yield f'<th scope="row"{_kind(shown, at)}>{told}</th>'
        else:
            yield f"<td{_kind(shown, at)}>{told}</td>"


def _kind(shown: Shown, column: int) -> str:
    return ' class="number"' if column in shown.numbers else ""


def league_application(
    token: str, hosts: frozenset[str], words: Words, ask: Ask, rate: Rate | None = None
) -> Guard:
    """The whole application, behind its guard."""
    page, at = LeaguePage(token, words, ask), "/league/{token}"
    return Guard(Starlette(routes=[
        Route("/static/{name}", static_file),
        Route("/favicon.ico", lambda _: Response(status_code=204)),
        Route(at, page.answer),
        Route(f"{at}/{{word}}", page.answer),
        Route(f"{at}/{{word}}/{{about}}", page.answer),
    ]), hosts, rate)  # fmt: skip
