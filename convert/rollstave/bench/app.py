"""The bench's routes. Every path is written out; nothing in an address reaches the file system."""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import re
from collections.abc import AsyncIterator, Callable
from functools import partial
from importlib.resources import files
from typing import Any

from sse_starlette import EventSourceResponse
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from rollstave.bench.document import (
    LARGEST,
    Changed,
    Document,
    NotInEncoding,
    State,
    difference,
)
from rollstave.bench.drafts import Drafts, is_page
from rollstave.bench.engraver import SECONDS, WORDS, Engraver
from rollstave.bench.entrance import ENTER, Entrance, enter
from rollstave.bench.events import Hub, watch
from rollstave.bench.guard import Guard
from rollstave.bench.preview import choices, choose, items, preview
from rollstave.bench.trouble import in_words
from rollstave.problems import TabError
from rollstave.workers import WorkerLost
from rollstave.writing.fonts import Style

_KINDS = {
    ".css": "text/css",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}


_TIME = re.compile(r"-?\d{1,9}(/\d{1,9})?")
_HALF = re.compile("[\ud800-\udfff]")  # half of a pair, as a text area can hold it
_MOST_STROKES = 1000  # of one measure


class _Page(str):
    """A field that has the name of a page."""


class BadRequest(ValueError):
    """A request that our own page would not send."""


class Fault(Exception):
    """The program failed over a text; the worker and everything else go on."""


def make_app(
    document: Document,
    port: int,
    entrance: Entrance,
    make_preview: Callable[[str, str], Any] = preview,
    seconds: float = SECONDS,
) -> Starlette:
    """The app for one document, on a port, for those whom ``entrance`` lets in. ``make_preview``
    and ``seconds`` are those of :class:`~rollstave.bench.engraver.Engraver`."""
    bench = _Bench(document, entrance, make_preview, seconds)
    routes = [
        Route(ENTER, partial(enter, entrance), methods=["POST"]),
        Route("/", bench.page),
        Route("/document", bench.read),
        Route("/events", bench.events),
        Route("/preview", bench.preview, methods=["POST"]),
        Route("/items", bench.items, methods=["POST"]),
        Route("/choices", bench.choices, methods=["POST"]),
        Route("/choose", bench.choose, methods=["POST"]),
        Route("/difference", bench.difference, methods=["POST"]),
        Route("/save", bench.save, methods=["POST"]),
        Route("/drafts", bench.drafts, methods=["POST"]),
        Route("/draft/keep", bench.keep_draft, methods=["POST"]),
        Route("/draft/drop", bench.drop_draft, methods=["POST"]),
        Route("/draft/remove", bench.remove_draft, methods=["POST"]),
        *(Route(f"/static/{name}", _fixed(data, name)) for name, data in _static().items()),
    ]
    return Starlette(
        routes=routes,
        middleware=[Middleware(Guard, port=port, entrance=entrance)],
        exception_handlers={
            BadRequest: _bad_request,
            TabError: _unreadable,
            OSError: _unreadable,
            WorkerLost: _lost,
            Fault: _broken,
        },
        lifespan=bench.lifespan,
    )


class _Bench:
    def __init__(
        self,
        document: Document,
        entrance: Entrance,
        make_preview: Callable[[str, str], Any],
        seconds: float,
    ) -> None:
        self.document = document
        self.entrance = entrance
        self.kept = Drafts(document.path)
        self.hub = Hub()
        self.engraver = Engraver(self._tell_of_engraver, make_preview, seconds)
        self.name = document.stem

    def _tell_of_engraver(self, words: str) -> None:
        self.hub.tell("engraver", words=words)

    @contextlib.asynccontextmanager
    async def lifespan(self, _: Starlette) -> AsyncIterator[None]:
        watching = asyncio.create_task(watch(self.document, self.hub))
        try:
            yield
        finally:
            watching.cancel()
            with contextlib.suppress(asyncio.CancelledError, OSError):
                await watching
            self.engraver.close()
            self.entrance.close()

    async def page(self, request: Request) -> Response:
        from jinja2 import Environment, PackageLoader

        environment = Environment(
            loader=PackageLoader("rollstave.bench", "static"), autoescape=True
        )
        template = environment.get_template("page.html")
        html = template.render(name=self.document.name, token=self.entrance.token)
        return Response(html, media_type="text/html; charset=utf-8")

    async def read(self, request: Request) -> Response:
        return JSONResponse(_as_data(await run_in_threadpool(self.document.load)))

    async def events(self, request: Request) -> Response:
        return EventSourceResponse(self.hub.listen(), ping=20)

    async def preview(self, request: Request) -> Response:
        sent = await _fields(request, page=str, text=str)
        try:
            made = await self.engraver.preview(sent["page"], sent["text"], self.name)
        except WorkerLost:
            raise
        except Exception as error:
            raise Fault(type(error).__name__) from error
        return JSONResponse({"newer": True} if made is None else made)

    async def items(self, request: Request) -> Response:
        sent = await _fields(request, text=str)
        return JSONResponse(await self._of_text(items, sent["text"], self.name))

    async def choices(self, request: Request) -> Response:
        sent = await _fields(request, text=str, tune=int, measure=int)
        work = (choices, sent["text"], self.name, sent["tune"], sent["measure"])
        return JSONResponse(await self._of_text(*work))

    async def choose(self, request: Request) -> Response:
        sent = await _fields(request, text=str, tune=int, measure=int, onsets=list, durations=list)
        work = (choose, sent["text"], sent["tune"], sent["measure"])
        times = (_times(sent["onsets"]), _times(sent["durations"]))
        return JSONResponse(await self._of_text(*work, *times))

    async def _of_text(self, *work: Any) -> Any:
        try:
            return await self.engraver.run(*work)
        except (IndexError, ValueError, TypeError, ZeroDivisionError) as error:
            raise BadRequest(str(error)) from error
        except (TabError, WorkerLost):
            raise
        except Exception as error:
            raise Fault(type(error).__name__) from error

    async def difference(self, request: Request) -> Response:
        sent = await _fields(request, text=str)
        theirs = await run_in_threadpool(self.document.load)
        lines = await run_in_threadpool(difference, theirs.text, sent["text"])
        return JSONResponse({"lines": lines, **_as_data(theirs)})

    async def save(self, request: Request) -> Response:
        sent = await _fields(request, text=str, seen=str, utf8=bool, page=_Page, turn=int)
        try:
            state = await run_in_threadpool(
                self.document.save, sent["text"], sent["seen"], sent["utf8"]
            )
        except Changed as changed:
            return JSONResponse(_as_data(changed.state), 409)
        except NotInEncoding as error:
            return JSONResponse({"error": str(error), "encoding": error.encoding}, 422)
        with contextlib.suppress(OSError):  # the text is safe; at worst it is offered once more
            await run_in_threadpool(self.kept.drop, sent["page"], sent["turn"])
        return JSONResponse(_as_data(state))

    async def drafts(self, request: Request) -> Response:
        """The drafts that differ from the file as it is now; ``stale`` says that the file is not
        the one that they were typed over. ``when`` is in milliseconds since 1970."""
        await _fields(request)
        try:
            state = await run_in_threadpool(self.document.load)
        except (TabError, OSError):
            state = None
        waiting = [
            {
                "page": draft.page,
                "when": round(draft.when * 1000),
                "text": draft.text,
                "seen": draft.seen,
                "stale": state is None or draft.seen != state.seen,
            }
            for draft in await run_in_threadpool(self.kept.waiting)
            if state is None or draft.text != state.text
        ]
        return JSONResponse({"drafts": waiting})

    async def keep_draft(self, request: Request) -> Response:
        sent = await _fields(request, page=_Page, turn=int, text=str, seen=str)
        work = (sent["page"], sent["turn"], sent["text"], sent["seen"])
        await run_in_threadpool(self.kept.keep, *work)
        return JSONResponse({})

    async def drop_draft(self, request: Request) -> Response:
        sent = await _fields(request, page=_Page, turn=int)
        await run_in_threadpool(self.kept.drop, sent["page"], sent["turn"])
        return JSONResponse({})

    async def remove_draft(self, request: Request) -> Response:
        sent = await _fields(request, page=_Page)
        await run_in_threadpool(self.kept.remove, sent["page"])
        return JSONResponse({})


def _static() -> dict[str, bytes]:
    """The files that the page asks for, by name; all there are."""
    own = files("rollstave.bench") / "static"
    found = {
        item.name: item.read_bytes()
        for item in own.iterdir()
        if os.path.splitext(item.name)[1] in _KINDS
    }
    fonts = files("rollstave") / "data"
    for style in Style:
        name = f"rollstave-serif-{style.value}.woff2"
        found[name] = (fonts / name).read_bytes()
    return found


def _fixed(data: bytes, name: str) -> Callable[[Request], Response]:
    kind = _KINDS[os.path.splitext(name)[1]]

    def endpoint(_: Request) -> Response:
        return Response(data, media_type=kind)

    return endpoint


def _as_data(state: State) -> dict[str, Any]:
    return {
        "text": state.text,
        "seen": state.seen,
        "encoding": state.encoding.name,
        "exact": state.exact,
        "largest": LARGEST,
    }


async def _fields(request: Request, **kinds: type) -> dict[str, Any]:
    """The fields of a JSON body, each of its kind. Raises BadRequest, with words for people where
    what they typed can be the reason."""
    try:
        sent = json.loads(await request.body())
    except (ValueError, RecursionError):
        raise BadRequest("The bench was sent something that is no JSON it can read.") from None
    if not isinstance(sent, dict):
        raise BadRequest("The bench was sent JSON that is no object.")
    for name, kind in kinds.items():
        value: Any = sent.get(name)
        wanted: Any = str if kind is _Page else kind
        if type(value) is not wanted:
            raise BadRequest(f"The bench was sent no {name!r} of the kind {wanted.__name__}.")
        if kind is _Page and not is_page(value):
            raise BadRequest("The bench was sent no name of a page.")
        if kind is str and (half := _HALF.search(value)):
            line = value.count("\n", 0, half.start()) + 1
            raise BadRequest(
                f"Line {line} of the {name} has half a character, which no file can hold; "
                "delete it and type it again."
            )
        if kind is int and not 0 <= value < 2**53:
            raise BadRequest(f"The bench was sent a {name!r} that is no number it counts to.")
    return sent


def _times(sent: list[Any]) -> list[str]:
    """Fractions of a whole note, as they are written. Raises BadRequest."""
    if len(sent) > _MOST_STROKES:
        raise BadRequest(f"A measure has at most {_MOST_STROKES} strokes.")
    if not all(isinstance(time, str) and _TIME.fullmatch(time) for time in sent):
        raise BadRequest("The bench was sent a rhythm that is no list of fractions.")
    return sent


def _bad_request(_: Request, error: Exception) -> Response:
    return JSONResponse({"error": str(error)}, 400)


def _unreadable(_: Request, error: Exception) -> Response:
    assert isinstance(error, TabError | OSError)
    words, status = in_words(error)
    return JSONResponse({"error": words}, status)


def _lost(_: Request, error: Exception) -> Response:
    reason = error.reason if isinstance(error, WorkerLost) else "died"
    return JSONResponse({"error": WORDS[reason]}, 503)


def _broken(_: Request, error: Exception) -> Response:
    words = f"This text met a fault of the program ({error}). The sheet stays as it was."
    return JSONResponse({"error": words}, 500)
