"""Which sketchbook the desks work for."""

from __future__ import annotations

import os
from pathlib import Path

#: set by the launcher for the desks' kernels
SKETCHBOOK_VARIABLE = "HARMONY_SKETCHBOOK"
DESKS_FOLDER = "desks"


def find_folder() -> Path:
    """Give the sketchbook's folder: the launcher's, or the one that the desks' lies in.

    A desk that stands somewhere else works for a folder ``sketchbook`` beside it.
    """
    named = os.environ.get(SKETCHBOOK_VARIABLE)
    if named:
        return Path(named).absolute()
    here = Path.cwd()
    return here.parent if here.name == DESKS_FOLDER else here / "sketchbook"
