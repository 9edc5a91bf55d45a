"""The bench's routes. Every path is written out; nothing in an address reaches the file system."""

from __future__ import annotations

import asyncio
import contextlib
import os
from collections.abc import AsyncIterator, Callable
from importlib.resources import files
from typing import Any

from sse_starlette import EventSourceResponse
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from rollstave.bench.document import Changed, Document, NotInEncoding, State, difference
from rollstave.bench.engraver import SECONDS, WORDS, Engraver
from rollstave.bench.events import Hub, watch
from rollstave.bench.guard import Guard
from rollstave.bench.preview import choices, choose, items, preview
from rollstave.problems import TabError
from rollstave.workers import WorkerLost
from rollstave.writing.fonts import Style

_KINDS = {
    ".css": "text/css",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}


class BadRequest(ValueError):
    """A request that our own page would not send."""


class Fault(Exception):
    """The program failed over a text; the worker and everything else go on."""


def make_app(
    document: Document,
    port: int,
    token: str,
    make_preview: Callable[[str, str], Any] = preview,
    seconds: float = SECONDS,
) -> Starlette:
    """The app for one document. ``make_preview`` and ``seconds`` are those of
    :class:`~rollstave.bench.engraver.Engraver`."""
    bench = _Bench(document, token, make_preview, seconds)
    routes = [
        Route("/", bench.page),
        Route("/document", bench.read),
        Route("/events", bench.events),
        Route("/preview", bench.preview, methods=["POST"]),
        Route("/items", bench.items, methods=["POST"]),
        Route("/choices", bench.choices, methods=["POST"]),
        Route("/choose", bench.choose, methods=["POST"]),
        Route("/difference", bench.difference, methods=["POST"]),
        Route("/save", bench.save, methods=["POST"]),
        *(Route(f"/static/{name}", _fixed(data, name)) for name, data in _static().items()),
    ]
    return Starlette(
        routes=routes,
        middleware=[Middleware(Guard, port=port, token=token)],
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
        token: str,
        make_preview: Callable[[str, str], Any],
        seconds: float,
    ) -> None:
        self.document = document
        self.token = token
        self.hub = Hub()
        self.engraver = Engraver(self._tell_of_engraver, make_preview, seconds)
        self.name = document.path.stem

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

    async def page(self, request: Request) -> Response:
        from jinja2 import Environment, PackageLoader

        environment = Environment(
            loader=PackageLoader("rollstave.bench", "static"), autoescape=True
        )
        template = environment.get_template("page.html")
        html = template.render(name=self.document.name, token=self.token)
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
        return JSONResponse(await self._of_text(*work, sent["onsets"], sent["durations"]))

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
        sent = await _fields(request, text=str, seen=str, utf8=bool)
        try:
            state = await run_in_threadpool(
                self.document.save, sent["text"], sent["seen"], sent["utf8"]
            )
        except Changed as changed:
            return JSONResponse(_as_data(changed.state), 409)
        except NotInEncoding as error:
            what = {"character": error.character, "line": error.line, "encoding": error.encoding}
            return JSONResponse(what, 422)
        return JSONResponse(_as_data(state))


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
    }


async def _fields(request: Request, **kinds: type) -> dict[str, Any]:
    """The fields of a JSON body, each of its kind. Raises BadRequest."""
    try:
        sent = await request.json()
    except ValueError:
        raise BadRequest("no JSON") from None
    if not isinstance(sent, dict):
        raise BadRequest("no JSON object")
    for name, kind in kinds.items():
        if type(sent.get(name)) is not kind:
            raise BadRequest(f"{name} must be {kind.__name__}")
        if kind is str:
            # A text area can hold half of a surrogate pair, which no file can.
            sent[name] = sent[name].encode("utf-8", "replace").decode()
        if kind is int and sent[name] < 0:
            raise BadRequest(f"{name} must not be negative")
    return sent


def _bad_request(_: Request, error: Exception) -> Response:
    return JSONResponse({"error": str(error)}, 400)


def _unreadable(_: Request, error: Exception) -> Response:
    if isinstance(error, TabError):
        words = "; ".join(problem.message for problem in error.problems)
    else:
        words = getattr(error, "strerror", None) or str(error)
    return JSONResponse({"error": words}, 500)


def _lost(_: Request, error: Exception) -> Response:
    reason = error.reason if isinstance(error, WorkerLost) else "died"
    return JSONResponse({"error": WORDS[reason]}, 503)


def _broken(_: Request, error: Exception) -> Response:
    words = f"This text met a fault of the program ({error}). The sheet stays as it was."
    return JSONResponse({"error": words}, 500)
