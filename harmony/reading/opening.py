"""Opening a score file of any known kind."""

from __future__ import annotations

from pathlib import Path

from harmony.errors import HarmonyError, reason_of
from harmony.resources import expand_home
from harmony.scoring.score import Score

ENDINGS = (".musicxml", ".xml", ".mxl", ".mid", ".midi", ".abc", ".krn", ".kern")
_LARGEST_FILE_BYTES = 48_000_000
_ACCEPTED = "MusicXML (.musicxml, .xml, .mxl), MIDI (.mid), ABC (.abc) or kern (.krn)"


def read(path: str | Path) -> Score:
    """Read a score from a file; what it is is seen from its first bytes.

    The score's ``losses`` say what could not be kept.

    Raises
    ------
    HarmonyError
        If the file is missing, too large, damaged, or of no known kind.
    """
    place = expand_home(path)
    name = place.name
    try:
        if place.is_dir():
            raise HarmonyError(f"{place} is a folder; a score file is accepted.", where=str(place))
        size = place.stat().st_size
        if size > _LARGEST_FILE_BYTES:
            raise HarmonyError(
                f"{name} has {size / 1e6:.0f} MB; scores of up to "
                f"{_LARGEST_FILE_BYTES // 1_000_000} MB are accepted.",
                where=str(place),
            )
        with place.open("rb") as stream:
            data = stream.read(_LARGEST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise HarmonyError(
            f"There is no file {str(path)!r}; the path of {_ACCEPTED} is accepted.",
            where=str(path),
        ) from None
    except (OSError, ValueError) as fault:
        if isinstance(fault, HarmonyError):
            raise
        raise HarmonyError(
            f"{place} cannot be opened ({reason_of(fault)}); a file that you may read is accepted.",
            where=str(place),
        ) from fault
    return read_bytes(data, name=name)


def read_bytes(data: bytes, *, name: str) -> Score:
    """Read a score from the bytes of a file called ``name``."""
    if not data.strip():
        raise HarmonyError(f"{name} is empty; {_ACCEPTED} is accepted.", where=name)
    kind = _recognise(data, Path(name).suffix.lower())
    if kind == "archive":
        from harmony.reading.archive import read_archive

        data, kind = read_archive(data, name=name), "xml"
    if kind == "xml":
        from harmony.reading.musicxml import read_musicxml

        return read_musicxml(data, name=name)
    if kind == "midi":
        from harmony.reading.midi import read_midi

        return read_midi(data, name=name)
    if kind in ("abc", "humdrum"):
        from harmony.reading.library import read_with_library

        return read_with_library(data, kind, name=name)
    raise HarmonyError(f"{name} is no score file known here; {_ACCEPTED} is accepted.", where=name)


def _recognise(data: bytes, ending: str) -> str:
    """Say of what kind the data is: by its beginning, else by the file's ending."""
    if data.startswith(b"PK\x03\x04"):
        return "archive"
    if data.startswith(b"MThd"):
        return "midi"
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    if head.startswith(b"<") or data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "xml"
    if b"**kern" in data[:65536]:
        return "humdrum"
    if head.startswith((b"X:", b"%abc")) or b"\nX:" in data[:4096]:
        return "abc"
    return {
        ".mxl": "archive",
        ".xml": "xml",
        ".musicxml": "xml",
        ".mid": "midi",
        ".midi": "midi",
        ".abc": "abc",
        ".krn": "humdrum",
        ".kern": "humdrum",
    }.get(ending, "")
