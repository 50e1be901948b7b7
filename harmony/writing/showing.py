"""What :mod:`harmony.showing` names: saving, tabulating and picturing a value."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

from harmony.errors import HarmonyError
from harmony.saving import save_bytes
from harmony.scoring.score import Score
from harmony.showing import Shown
from harmony.writing.musicxml import write_musicxml

if TYPE_CHECKING:
    from pandas import DataFrame

ENDINGS = (".musicxml", ".xml", ".mxl")
_INNER_NAME = "score.musicxml"
_CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<container><rootfiles>'
    f'<rootfile full-path="{_INNER_NAME}" media-type="application/vnd.recordare.musicxml+xml"/>'
    "</rootfiles></container>\n"
)
#: The oldest time a zip archive can hold, so that equal scores give equal files.
_NO_TIME = (1980, 1, 1, 0, 0, 0)


def save_musicxml(value: Shown, path: Path, alternative: int, *, overwrite: bool) -> Path:
    """Save a value's score as MusicXML, compressed where the name ends in ``.mxl``.

    Raises
    ------
    HarmonyError
        For another ending, a file already there, or a folder that cannot be
        written to.
    """
    return save_score(value.to_score(alternative), path, overwrite=overwrite)


def save_score(score: Score, path: Path, *, concert: bool = False, overwrite: bool = False) -> Path:
    """Save a score as MusicXML (``.musicxml`` or ``.xml``) or compressed (``.mxl``)."""
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise HarmonyError(
            f"{path.name} does not end like a MusicXML file; {', '.join(ENDINGS)} are accepted.",
            where=str(path),
        )
    data = write_musicxml(score, concert=concert)
    return save_bytes(path, compress(data) if ending == ".mxl" else data, overwrite=overwrite)


def compress(data: bytes) -> bytes:
    """Give a MusicXML file as the bytes of an ``.mxl`` archive."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (("META-INF/container.xml", _CONTAINER.encode()), (_INNER_NAME, data)):
            archive.writestr(zipfile.ZipInfo(name, _NO_TIME), content, zipfile.ZIP_DEFLATED)
    return held.getvalue()


def build_frame(value: Shown, alternative: int) -> DataFrame:
    """Give a pandas DataFrame of a value's rows."""
    import pandas as pd

    return pd.DataFrame(value.to_rows(alternative))


def build_html(value: Shown) -> str:
    """Give a value's first alternative as notation in HTML."""
    from harmony.writing.engraving import engrave

    svg = engrave(value.to_score(1)).svg
    return f'<div class="harmony-score" role="img" aria-label="Notation">{svg}</div>'
