"""The scripts and style sheets of the parts, read from the package's own files."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files

#: draws the accidentals in chord symbols; it comes with the engraver
MUSIC_TEXT_FONT = "Leipzig.css"


@cache
def load_script(name: str, *shared: str, inner_style: str = "") -> str:
    """Give a part's script with what all parts share put in front of it.

    ``shared`` names scripts that some parts share, for those. ``inner_style`` names a
    style sheet that the script finds as INNER_STYLE, for a part that keeps its content
    in a root of its own.
    """
    pieces = [_read(f"{one}.js") for one in ("common", *shared)]
    if inner_style:
        pieces.append(f"const INNER_STYLE = {json.dumps(_read(f'{inner_style}.css'))};")
    return "\n".join([*pieces, _read(f"{name}.js")])


@cache
def load_style(name: str) -> str:
    """Give a part's style sheet with what the parts share put in front of it."""
    return _read("common.css") + "\n" + _read(f"{name}.css")


@cache
def load_music_font() -> str:
    """Give the style sheet that holds the engraver's font for signs inside text."""
    return files("verovio").joinpath("data", MUSIC_TEXT_FONT).read_text(encoding="utf-8")


def _read(name: str) -> str:
    return files("harmony.workbench.parts").joinpath("assets", name).read_text(encoding="utf-8")
