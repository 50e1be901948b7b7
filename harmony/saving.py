"""Writing a file whole or not at all, and never over another unasked."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

from harmony.errors import HarmonyError, reason_of


def save_bytes(path: Path, content: bytes, *, overwrite: bool = False) -> Path:
    """Write ``content`` to ``path`` in one step and give the path.

    A reader sees the file that was there or the whole new one, whenever the
    process is stopped; what a killed process leaves behind is at most a hidden
    file that ends in ``.draft``.

    Raises
    ------
    HarmonyError
        If a file is already there and ``overwrite`` is not set, or if the
        folder cannot be written to.
    """
    # A name of its own length: the wanted name may be as long as a name can be.
    draft = path.with_name(f".{os.urandom(6).hex()}.draft")
    try:
        write_through(draft, content)
        if overwrite:
            draft.replace(path)
        else:
            _move_to_free_name(draft, path)
        settle_folder(path.parent)
    except FileExistsError:
        raise already_there(path) from None
    except (OSError, ValueError) as fault:  # a name may hold what no system writes
        raise HarmonyError(
            f"{path} could not be written ({reason_of(fault)}); a name in a folder that can be"
            " written to is accepted.",
            where=str(path),
        ) from fault
    finally:
        with contextlib.suppress(OSError, ValueError):
            draft.unlink()
    return path


def save_text(path: Path, text: str, *, overwrite: bool = False) -> Path:
    """Write ``text`` in UTF-8 as :func:`save_bytes` does."""
    return save_bytes(path, text.encode("utf-8"), overwrite=overwrite)


def already_there(path: Path) -> HarmonyError:
    """Build the refusal to overwrite ``path``."""
    return HarmonyError(
        f"{path} is already there and is left as it was; another name is accepted.",
        where=str(path),
    )


def _move_to_free_name(draft: Path, path: Path) -> None:
    try:
        # A link, unlike a rename, fails if somebody wrote the name meanwhile.
        path.hardlink_to(draft)
    except FileExistsError:
        raise
    except OSError:
        # Memory sticks have no links: the name is claimed empty, then filled by the rename.
        path.open("xb").close()
        draft.replace(path)


def write_through(path: Path, content: bytes) -> None:
    """Write a new file and wait until the disk has it."""
    with path.open("xb") as stream:
        stream.write(content)
        stream.flush()
        os.fsync(stream.fileno())


def settle_folder(folder: Path) -> None:
    """Have the names in a folder written to the disk, where the system allows it.

    Without this a power cut can lose a new name.
    """
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
