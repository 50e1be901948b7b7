"""Starting and closing the workbench, and opening its page in a browser kept on loopback."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import psutil
from playwright.sync_api import Browser, Page, Playwright, sync_playwright

from tests.browser.listening import lend_ears

READY_SECONDS = 120
CLOSED_SECONDS = 30
# Nothing but this computer can be reached: the workbench must work without a network.
LOOPBACK_ONLY = (
    "--no-sandbox",
    "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1",
    "--proxy-server=http://127.0.0.1:9",
    "--proxy-bypass-list=127.0.0.1",
)


@dataclass
class Served:
    """A running workbench.

    ``faults`` collects what the page's console complained of. ``answers`` (status
    by way of asking), ``children``, ``rest`` (what was still printed) and ``second``
    (another start on the same folder) are set by tests that close it.
    """

    address: str
    folder: Path
    browser: str
    process: subprocess.Popen[str]
    faults: list[str] = field(default_factory=list)
    answers: dict[str, int] = field(default_factory=dict)
    children: list[psutil.Process] = field(default_factory=list)
    rest: str = ""
    second: subprocess.CompletedProcess[str] | None = None


def clean_environment(home: Path) -> dict[str, str]:
    """Give an environment with a home of its own and no Jupyter settings."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("JUPYTER", "IPYTHON", "PYTEST", "HARMONY_SKETCHBOOK"))
    }
    return {**kept, "HOME": str(home)}


@contextmanager
def serve_workbench(place: Path, *, browser: str) -> Iterator[Served]:
    """Run ``harmony workbench`` on a new folder in ``place`` until the block ends."""
    folder, home = place / "sketchbook", place / "home"
    home.mkdir(exist_ok=True)
    process = subprocess.Popen(
        [sys.executable, "-m", "harmony", "workbench", str(folder), "--no-browser"],
        env=clean_environment(home),
        cwd=place,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        yield Served(_read_address(process), folder, browser, process)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
            try:
                process.wait(CLOSED_SECONDS)
            finally:
                process.kill()
        process.wait()
        if process.stdout:
            process.stdout.close()


def _read_address(process: subprocess.Popen[str]) -> str:
    late = threading.Timer(READY_SECONDS, process.kill)
    late.start()
    said = []
    try:
        assert process.stdout is not None
        for line in process.stdout:
            said.append(line)
            found = re.search(r"http://\S+", line)
            if found:
                return found[0]
    finally:
        late.cancel()
    raise AssertionError("no address was printed: " + "".join(said))


_tools: list[Playwright] = []
_open_pages: list[object] = []


@contextmanager
def _shared_tools() -> Iterator[Playwright]:
    """Give the one playwright of this process: a second may not run beside it."""
    if not _tools:
        _tools.append(sync_playwright().start())
    mark = object()
    _open_pages.append(mark)
    try:
        yield _tools[0]
    finally:
        _open_pages.remove(mark)
        if not _open_pages:
            _tools.pop().stop()


@contextmanager
def open_browser(served: Served) -> Iterator[Browser]:
    """Start a browser that has been nowhere yet."""
    with _shared_tools() as tools:
        browser = tools.chromium.launch(executable_path=served.browser, args=[*LOOPBACK_ONLY])
        yield browser
        browser.close()


@contextmanager
def open_page(
    served: Served, *, width: int = 1280, height: int = 900, is_dark: bool = False
) -> Iterator[Page]:
    """Open the workbench's address in a browser of the given size."""
    with open_browser(served) as browser:
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if is_dark else "light",
        )
        page = context.new_page()
        lend_ears(page)
        page.on("pageerror", lambda error: served.faults.append(str(error)))
        page.on(
            "console",
            lambda message: message.type == "error" and served.faults.append(message.text),
        )
        page.goto(served.address)
        yield page
