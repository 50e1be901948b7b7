"""Opening the workbench: the desks copied, worked, and their address told."""

from __future__ import annotations

import os
import webbrowser
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from harmony.errors import HarmonyError
from harmony.resources import find_desks
from harmony.workbench.folder import SKETCHBOOK_VARIABLE
from harmony.workbench.lab.desks import copy_desks, open_folder
from harmony.workbench.lab.look import settle_environment
from harmony.workbench.lab.signals import Closing

FIRST_DESK = "progression.ipynb"


def launch(
    folder: str | Path, *, open_browser: bool, announce: Callable[[str], object] = print
) -> None:
    """Open the workbench on a sketchbook folder and serve it until interrupted.

    The desks are copied into FOLDER/desks (what is there stays), run over kernel
    sessions of their own, and signed; only then is the address announced. Where a
    workbench is open on the folder already, its address is announced and that is all.

    Parameters
    ----------
    folder
        The sketchbook; made if it is not there.
    open_browser
        Whether to open the address in the composer's browser.
    announce
        Called with each line meant for the person who started the workbench.

    Raises
    ------
    HarmonyError
        If the folder or a desk in it cannot be written to, or no port is free.
    """
    sketchbook = open_folder(Path(folder))
    shipped = find_desks()
    desks = copy_desks(shipped, sketchbook)
    settle_environment()
    os.environ[SKETCHBOOK_VARIABLE] = str(sketchbook)

    # Jupyter reads the environment when it is imported, so it is imported only now.
    from harmony.workbench.lab.server import desk_address, find_open
    from harmony.workbench.lab.worked import work_desks

    first = next((desk for desk in desks if desk.name == FIRST_DESK), desks[0])
    path = first.relative_to(sketchbook).as_posix()

    def show(address: str) -> None:
        if open_browser:
            webbrowser.open(address)

    # Two would each show desks of its own in the same notebooks.
    there = find_open(sketchbook, path)
    if there is not None:
        announce(f"The workbench is open on this folder already: {there}")
        show(there)
        return
    server = _build_server(sketchbook)

    def tell(results: dict[Path, str]) -> None:
        _tell_desks(results, announce)
        address = desk_address(server, path)
        announce(f"The workbench is ready: {address}")
        announce("Ctrl-C closes it.")
        show(address)

    _serve(server, lambda: work_desks(server, desks, shipped), tell)


def _build_server(sketchbook: Path) -> Any:
    """Build the server, or say why there can be none (Jupyter would end the process)."""
    from harmony.workbench.lab.server import build_server

    try:
        return build_server(sketchbook)
    except SystemExit as fault:
        raise HarmonyError(
            "This computer has no free address for the workbench; close other workbenches or"
            " notebooks that are open on it, and start again."
        ) from fault


def _tell_desks(results: dict[Path, str], announce: Callable[[str], object]) -> None:
    """Tell of the desks that do not stand there worked."""
    from harmony.workbench.lab.worked import FAILED, LEFT

    for desk, result in results.items():
        if result == LEFT:
            announce(f"{desk.name} was changed elsewhere and is not run on opening.")
        elif result == FAILED:
            announce(f"{desk.name} stopped with a fault; its page tells which.")


def _serve(
    server: Any,
    work: Callable[[], Awaitable[dict[Path, str]]],
    tell: Callable[[dict[Path, str]], object],
) -> None:
    """Serve until interrupted; the desks are worked meanwhile, and what came of it told.

    A fault in that work stops the server and is raised, unless it is being closed already.
    """
    stopped_by: list[Exception] = []
    closing = Closing(server)

    async def prepare() -> None:
        try:
            results = await work()
        except Exception as fault:  # noqa: BLE001 - raised again once the server has stopped
            if not closing.is_asked:
                stopped_by.append(fault)
                server.stop(from_signal=True)
        else:
            tell(results)

    server.io_loop.add_callback(prepare)
    closing.listen()
    server.start()
    if stopped_by:
        raise stopped_by[0]
