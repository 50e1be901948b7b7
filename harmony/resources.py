"""Where the package's own files are: tables, desks, demo themes.

In a checkout the desks and the demo stand at its top; in an installed wheel
they travel inside the package. Nothing else in the house asks which of the
two it is.
"""

from __future__ import annotations

from pathlib import Path

from harmony.errors import HarmonyError

_SHIPPED = "_shipped"


def find_package_folder() -> Path:
    """Return the folder the package `harmony` is installed in."""
    # Not by importlib.resources: that costs a command as much time as reading a
    # progression, and only to serve packages inside zip files, which pip never makes.
    return Path(__file__).parent


def find_data(*parts: str) -> Path:
    """Return a table under ``harmony/data``.

    Parameters
    ----------
    *parts
        Folder and file names below ``harmony/data``; none for the folder.

    Raises
    ------
    HarmonyError
        If this installation has no such file.
    """
    return _checked(find_package_folder().joinpath("data", *parts))


def find_desks() -> Path:
    """Return the folder of the desks' notebooks, as shipped (never written to)."""
    return _find_top_folder("notebooks")


def expand_home(path: str | Path) -> Path:
    """Give a path with ``~`` as one's own folder; a ``~name`` nobody has stays as it is."""
    try:
        return Path(path).expanduser()
    except RuntimeError:
        return Path(path)


def find_corpora(*parts: str) -> Path:
    """Return the folder of the demo and the public-domain themes, or a file in it.

    Raises
    ------
    HarmonyError
        If this installation has no such file.
    """
    return _checked(_find_top_folder("corpora").joinpath(*parts))


def _find_top_folder(name: str) -> Path:
    package = find_package_folder()
    shipped = package / _SHIPPED / name
    # A wheel has no pyproject.toml beside the package, so that file marks a
    # checkout; without the mark a stranger's `notebooks` folder could be taken.
    if not shipped.is_dir() and (package.parent / "pyproject.toml").is_file():
        return _checked(package.parent / name)
    return _checked(shipped)


def _checked(path: Path) -> Path:
    if not path.exists():
        raise HarmonyError(
            f"This installation of the workbench lacks {path.name!r} (looked for at {path});"
            " installing it again puts it back."
        )
    return path
