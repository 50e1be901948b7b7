"""Running a desk before it is opened, so that its music is on the screen at once."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient

from harmony.saving import save_text

KERNEL = "python3"
SECONDS_A_DESK = 120
LATE_SECONDS = 30  # for what a busy kernel still sends after its reply
RUN, LEFT, FAILED = "run", "left", "failed"


async def work_desks(server: Any, desks: tuple[Path, ...], shipped: Path) -> dict[Path, str]:
    """Run every desk over a session of its own; say for each ``run``, ``left`` or ``failed``.

    A desk is left alone if it is not ours: its cells differ from those shipped and
    nobody on this machine signed it.

    Raises
    ------
    HarmonyError
        If a desk cannot be written.
    """
    # All are waited for: a desk cut off in the middle would complain in the terminal.
    results = await asyncio.gather(
        *(_work(server, desk, shipped / desk.name) for desk in desks), return_exceptions=True
    )
    for result in results:
        if isinstance(result, BaseException):
            raise result
    return {desk: str(result) for desk, result in zip(desks, results, strict=True)}


async def _work(server: Any, desk: Path, original: Path) -> str:
    try:
        notebook = nbformat.read(desk, as_version=4)
    except (OSError, ValueError):
        return LEFT
    sources = _code(notebook)
    if not sources:
        return RUN
    notary = server.contents_manager.notary
    if sources != _code(nbformat.read(original, as_version=4)) and not notary.check_signature(
        notebook
    ):
        return LEFT
    path = desk.relative_to(server.root_dir).as_posix()
    session = await server.session_manager.create_session(
        path=path, name=desk.name, type="notebook", kernel_name=KERNEL
    )
    kernel = server.kernel_manager.get_kernel(session["kernel"]["id"])
    client = NotebookClient(
        notebook,
        km=kernel,
        timeout=SECONDS_A_DESK,
        iopub_timeout=LATE_SECONDS,
        allow_errors=True,
        store_widget_state=False,
    )
    # Cleaning up would end the kernel, which the page is to find alive.
    await client.async_execute(cleanup_kc=False)
    client.kc.stop_channels()
    notary.sign(notebook)
    save_text(desk, nbformat.writes(notebook) + "\n", overwrite=True)
    return FAILED if _has_failed(notebook) else RUN


def _code(notebook: Any) -> list[str]:
    return [cell.source for cell in notebook.cells if cell.cell_type == "code"]


def _has_failed(notebook: Any) -> bool:
    return any(
        output.output_type == "error"
        for cell in notebook.cells
        if cell.cell_type == "code"
        for output in cell.outputs
    )
