"""`siteworthy ask --web`: the same interface in a browser on this machine, through textual-serve (the extra `web`).

Every page that is opened starts a session of its own, as a terminal would. The server listens on 127.0.0.1 alone and
answers only whoever has the key in the address that it prints, since other users of the machine and other pages in
the browser reach that address too. Nothing is fetched from anywhere else.
"""

import hmac
import importlib.util
import secrets
import shlex
import socket
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from advisor.faults import Fault, InputError, Place

HOST = "127.0.0.1"
PAGE = Path(__file__).parent / "page"


def serve(arguments: Sequence[str], title: str, port: int = 0) -> int:
    """Serve `siteworthy ask` with these arguments until interrupted; port 0 takes a free one. Raises InputError."""
    if importlib.util.find_spec("textual_serve") is None:
        raise InputError(
            [Fault(Place("ask --web"), "needs textual-serve, which is not installed", "pip install 'siteworthy[web]'")]
        )
    found = _free(port)
    key = secrets.token_urlsafe(16)
    command = [sys.executable, "-m", "advisor.cli", "ask", *arguments]
    joined = subprocess.list2cmdline(command) if sys.platform == "win32" else shlex.join(command)
    try:
        _server(joined, title, found, key).serve()
    except OSError as problem:
        raise InputError([Fault(Place("ask --web"), f"cannot listen on {HOST}:{found} ({problem.strerror})")]) from None
    return 0


def _free(port: int) -> int:
    """Return the port if it is free, or any free one for 0. Raises InputError."""
    if not 0 <= port <= 65535:
        raise InputError([Fault(Place("ask --web"), f"{port} is no port", "1024 .. 65535")])
    with socket.socket() as probe:
        if sys.platform != "win32":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as problem:
            what = f"cannot listen on {HOST}:{port} ({problem.strerror})"
            raise InputError([Fault(Place("ask --web"), what, "another --port, or none for a free one")]) from None
        return int(probe.getsockname()[1])


def _server(command: str, title: str, port: int, key: str) -> Any:
    from aiohttp import web
    from textual_serve.server import Server

    cookie = f"siteworthy-{port}"

    @web.middleware
    async def guard(request: web.Request, handler: Any) -> web.StreamResponse:
        if hmac.compare_digest(request.query.get("key", "").encode(), key.encode()):
            # The key goes from the address, where it would be seen, into a cookie that no page can read.
            entered = web.HTTPFound(request.path)
            entered.set_cookie(cookie, key, httponly=True, samesite="Lax")
            raise entered
        if hmac.compare_digest(request.cookies.get(cookie, "").encode(), key.encode()):
            answer: web.StreamResponse = await handler(request)
            return answer
        raise web.HTTPForbidden(text="Open the address that siteworthy printed, with its key.")

    class Guarded(Server):
        """The server with its own page, its guard, and one line on the terminal."""

        def initialize_logging(self) -> None:
            """Keep quiet: every request would be a line."""

        async def _make_app(self) -> web.Application:
            app = await super()._make_app()
            app.middlewares.append(guard)
            return app

        async def on_startup(self, app: web.Application) -> None:
            print(f"siteworthy is at {self.public_url}/?key={key}  (Ctrl+C ends it)", flush=True)

    return Guarded(command, host=HOST, port=port, title=title, templates_path=PAGE)
