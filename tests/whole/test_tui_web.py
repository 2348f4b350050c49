"""The interface in a browser: only on this machine, only with the key, nothing fetched from elsewhere."""

import asyncio
import importlib.util
import os
import re
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import ROOT

from advisor.faults import InputError
from tui import web

aiohttp = pytest.importorskip("aiohttp")
pytest.importorskip("textual_serve")


def wait_for(port: int) -> None:
    """Wait until the server takes connections: the address is printed just before."""
    for _ in range(200):
        with socket.socket() as probe:
            if probe.connect_ex((web.HOST, port)) == 0:
                return
        time.sleep(0.05)
    raise AssertionError("the server does not listen")


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Run the server on a site whose folder has a blank in its name; the address that it prints."""
    folder = tmp_path_factory.mktemp("a plant")
    (folder / "-site.yaml").write_text("site: Filler 3\nunit: {kind: sensor}\n", "utf-8")
    env = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "XDG_STATE_HOME": str(folder / "state"),
        "SITEWORTHY_CACHE": str(folder),
    }
    call = [sys.executable, "-m", "advisor.cli", "ask", "--web", "--", "-site.yaml"]
    with subprocess.Popen(call, env=env, cwd=folder, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        found = re.search(r"http://127\.0\.0\.1:\d+/\?key=\S+", process.stdout.readline())
        assert found
        wait_for(int(re.findall(r":(\d+)/", found[0])[0]))
        yield found[0]
        process.terminate()


def test_nobody_gets_in_without_the_key(address: str) -> None:
    async def ask() -> list[int]:
        base, _, key = address.partition("?key=")
        async with aiohttp.ClientSession() as client:
            places = [base, f"{base}ws", f"{base}static/js/textual.js", f"{base}?key={key[:-1]}", f"{base}?key="]
            return [(await client.get(place)).status for place in places]

    assert asyncio.run(ask()) == [403] * 5


def test_it_listens_on_this_machine_alone(address: str) -> None:
    port = int(re.findall(r":(\d+)/", address)[0])
    with socket.socket() as probe:
        assert probe.connect_ex((web.HOST, port)) == 0
    if sys.platform == "linux":  # every address of 127/8 leads here, so it answers only where all addresses are bound
        with socket.socket() as probe:
            assert probe.connect_ex(("127.0.0.2", port)) != 0


def test_the_page_fetches_nothing_from_elsewhere_and_shows_the_site(address: str) -> None:
    async def ask() -> tuple[str, bytes]:
        base = address.partition("?key=")[0]
        seen = b""
        async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as client:
            page = await (await client.get(address)).text()
            async with client.ws_connect(f"{base}ws?width=80&height=24") as link:
                end = time.monotonic() + 60
                while b"Filler 3" not in seen and time.monotonic() < end:
                    message = await link.receive(timeout=60)
                    if not isinstance(message.data, bytes | str):
                        break
                    seen += message.data if isinstance(message.data, bytes) else message.data.encode()
        return page, seen

    page, seen = asyncio.run(ask())
    own = address.partition("?key=")[0]
    assert [url for url in re.findall(r"(?:https?|wss?)://[^\"'\s]+", page) if own.split("//")[1] not in url] == []
    assert b"Filler 3" in seen


def test_a_missing_extra_is_one_clear_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda _: None)
    with pytest.raises(
        InputError, match=r"needs textual-serve, which is not installed; pip install 'siteworthy\[web\]'"
    ):
        web.serve([], "siteworthy")


def test_a_port_in_use_is_told() -> None:
    with socket.socket() as taken:
        taken.bind((web.HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(InputError, match=rf"cannot listen on 127\.0\.0\.1:{port}"):
            web.serve([], "siteworthy", port)
    with pytest.raises(InputError, match="is no port"):
        web.serve([], "siteworthy", 70000)


def test_the_page_is_shipped() -> None:
    assert Path(web.PAGE, "app_index.html").is_file()
    assert "page/*.html" in (ROOT / "pyproject.toml").read_text("utf-8")
