"""Running a desk before it is opened, so that its music is on the screen at once."""

from __future__ import annotations

import asyncio
import contextlib
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient

from harmony.errors import HarmonyError
from harmony.saving import save_text

KERNEL = "python3"
SECONDS_A_DESK = 120
LATE_SECONDS = 30  # for what a busy kernel still sends after its reply
RESTARTING_SECONDS = 0.2
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
    notebook = _read_ours(server, desk, original)
    if notebook is None:
        return LEFT
    if not _code(notebook):
        return RUN
    path = desk.relative_to(server.root_dir).as_posix()
    session = await server.session_manager.create_session(
        path=path, name=desk.name, type="notebook", kernel_name=KERNEL
    )
    kernel_id = session["kernel"]["id"]
    _work_after_restarts(server, desk, original, kernel_id)
    return await _run(server, desk, notebook, kernel_id)


def _read_ours(server: Any, desk: Path, original: Path) -> Any:
    """Read a desk's notebook; None if it cannot be read or is not ours."""
    try:
        notebook = nbformat.read(desk, as_version=4)
    except (OSError, ValueError):
        return None
    is_shipped = _code(notebook) == _code(nbformat.read(original, as_version=4))
    if is_shipped or server.contents_manager.notary.check_signature(notebook):
        return notebook
    return None


def _work_after_restarts(server: Any, desk: Path, original: Path, kernel_id: str) -> None:
    """Run a desk again whenever its kernel died and was restarted; its page, loaded again, lives.

    (Lab restarts a kernel, but runs nothing in it.)
    """
    kernel = server.kernel_manager.get_kernel(kernel_id)
    running: set[asyncio.Task[None]] = set()

    async def work_again() -> None:
        # This is called before the new kernel is there.
        while not await kernel.is_alive():
            await asyncio.sleep(RESTARTING_SECONDS)
        notebook = _read_ours(server, desk, original)
        if notebook is not None:
            # A desk that cannot be written now (a full disk) stays as it was.
            with contextlib.suppress(HarmonyError):
                await _run(server, desk, notebook, kernel_id)

    def begin() -> None:
        task = asyncio.ensure_future(work_again())
        running.add(task)
        task.add_done_callback(running.discard)

    server.kernel_manager.add_restart_callback(kernel_id, begin, "restart")


async def _run(server: Any, desk: Path, notebook: Any, kernel_id: str) -> str:
    kernel = server.kernel_manager.get_kernel(kernel_id)
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
    server.contents_manager.notary.sign(notebook)
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
