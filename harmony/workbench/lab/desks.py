"""The desks in a sketchbook folder: copied there once, never overwritten."""

from __future__ import annotations

import tempfile
from pathlib import Path

from harmony.errors import HarmonyError, reason_of
from harmony.resources import expand_home
from harmony.saving import save_bytes
from harmony.workbench.folder import DESKS_FOLDER

SUFFIX = ".ipynb"


def open_folder(folder: Path) -> Path:
    """Make sure that a sketchbook folder exists and can be written to; give its full path.

    Raises
    ------
    HarmonyError
        If it is a file, cannot be made, or cannot be written to.
    """
    folder = expand_home(folder).absolute()
    if folder.exists() and not folder.is_dir():
        raise HarmonyError(
            f"{folder} is a file; the workbench opens on a folder.", where=str(folder)
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        # Permissions do not tell everything (a full or locked disk), so a file is really made.
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as fault:
        raise HarmonyError(
            f"Nothing can be written in {folder} ({reason_of(fault)}); the workbench needs a folder"
            " of your own to keep things in.",
            where=str(folder),
        ) from fault
    return folder


def copy_desks(shipped: Path, folder: Path) -> tuple[Path, ...]:
    """Copy the shipped notebooks into FOLDER/desks; what is there already stays as it is.

    Parameters
    ----------
    shipped
        The folder of notebooks as installed.
    folder
        The sketchbook folder; it exists and can be written to.

    Returns
    -------
    The paths of the desks in the sketchbook, in order of name.
    """
    desks = folder / DESKS_FOLDER
    try:
        desks.mkdir(exist_ok=True)
        return tuple(
            _copy_once(notebook, desks / notebook.name)
            for notebook in sorted(shipped.glob(f"*{SUFFIX}"))
        )
    except OSError as fault:
        raise HarmonyError(
            f"The desks could not be put into {desks} ({reason_of(fault)}); a folder that can be"
            " written to is needed.",
            where=str(desks),
        ) from fault


def _copy_once(source: Path, target: Path) -> Path:
    if not target.exists():
        try:
            save_bytes(target, source.read_bytes())
        except HarmonyError:
            # Another workbench opened on the same folder may have been quicker.
            if not target.exists():
                raise
    return target
