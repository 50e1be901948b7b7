"""How values become scores, files, frames and pictures without importing upward.

A value low in the house (a voicing, a theme) is shown by code that stands higher
(writing, the screens). The value inherits :class:`Shown`; the code that shows it
is named here by module and imported only when something is really shown, so
that the command line never loads what it does not print.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

from harmony.accepting import accepting

#: action -> "module:function"; the function takes the value first.
PROVIDERS: dict[str, str] = {
    "musicxml": "harmony.writing.showing:save_musicxml",
    "frame": "harmony.writing.showing:build_frame",
    "html": "harmony.writing.showing:build_html",
    "progression_score": "harmony.scoring.build:progression_to_score",
}


def provider(action: str) -> Callable[..., Any]:
    """Load the function that performs ``action``."""
    module, function = PROVIDERS[action].split(":")
    return getattr(import_module(module), function)  # type: ignore[no-any-return]


class Shown:
    """A value that can be seen, tabulated and saved.

    A subclass gives ``to_score(alternative)`` (a :class:`harmony.scoring.Score`)
    and ``to_rows(alternative)`` (a list of flat dicts, one per row of a frame).
    """

    __slots__ = ()

    def to_score(self, alternative: int = 1) -> Any:  # noqa: ARG002 - for those that override it
        """Give the score of alternative ``alternative``, counted from 1."""
        raise TypeError(f"{type(self).__name__} has no score")

    def to_rows(self, alternative: int = 1) -> list[dict[str, Any]]:  # noqa: ARG002
        """Give the rows of the table that :meth:`to_frame` builds."""
        raise TypeError(f"{type(self).__name__} has no table")

    @accepting
    def to_musicxml(
        self, path: str | Path, alternative: int = 1, *, overwrite: bool = False
    ) -> Path:
        """Save alternative ``alternative`` as a MusicXML file and give its path.

        An existing file is left alone and refused unless ``overwrite`` is set.
        """
        return provider("musicxml")(self, Path(path), alternative, overwrite=overwrite)  # type: ignore[no-any-return]

    @accepting
    def to_frame(self, alternative: int = 1) -> Any:
        """Give a pandas DataFrame of the value, one row per chord or note."""
        return provider("frame")(self, alternative)

    def _repr_html_(self) -> str:
        return provider("html")(self)  # type: ignore[no-any-return]
