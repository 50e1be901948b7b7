"""The same engine compiled: an extra that makes large searches many times faster.

It needs numba (``pip install .[fast]``), which is imported only when a large search
wants it.  Making the code takes some seconds, once: it is then kept on disk.  All that
goes on in the background, while the search begins without it.
"""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

import numpy as np

from harmony.search.onward import Engine, Kind, build_field
from harmony.search.split import Halves, SplitSteps

if TYPE_CHECKING:
    from concurrent.futures import Future


INDEX = "kernel.work_out_rows-"
"""How the files begin in which numba keeps the engine."""


@cache
def is_installed() -> bool:
    """Tell whether the extra is there."""
    return find_spec("numba") is not None


_making = Event()


def is_being_made() -> bool:
    """Tell whether the engine is made just now, for the first time on this machine."""
    return _making.is_set()


def is_made() -> bool:
    """Tell whether the engine is kept on disk, made of the code as it stands."""
    from harmony.search import kernel

    folder = Path(kernel.work_out_rows.stats.cache_path)
    written = Path(kernel.__file__).stat().st_mtime
    return any(one.stat().st_mtime >= written for one in folder.glob(f"{INDEX}*.nbi"))


@cache
def load_engine(kind: Kind) -> Engine:
    """Give the compiled engine for one kind of numbers; makes it if need be.

    Raises ImportError without the extra, RuntimeError where it cannot be used.
    """
    from harmony.search.kernel import work_out_rows

    # One step from one choice to another, so that it is made now and not in mid-search.
    one, none = np.zeros(1, dtype=np.intp), np.zeros((1, 1), dtype=np.int64)
    steps = SplitSteps(Halves(one, one), Halves(one, one), none, none, ())
    field, _ = build_field(steps, none[0], none[0], kind)
    if not is_made():
        _making.set()
    try:
        work_out_rows(0, 1, *field.arrays())
    finally:
        _making.clear()
    engine: Engine = work_out_rows
    return engine


@cache
def _begin_loading(kind: Kind) -> Future[Engine]:
    # Imported here because every command starts this module.
    from concurrent.futures import ThreadPoolExecutor

    # Left to finish even where the search ends first, so that the next one finds it made.
    return ThreadPoolExecutor(1).submit(load_engine, kind)


def find_engine(kind: Kind) -> Engine | None:
    """Give the compiled engine if it is ready; otherwise see to it that it will be."""
    if not is_installed():
        return None
    loading = _begin_loading(kind)
    return loading.result() if loading.done() and loading.exception() is None else None
