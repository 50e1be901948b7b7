"""Compressed MusicXML (.mxl): the score inside, without trusting the archive."""

from __future__ import annotations

import io
import zipfile
import zlib
from pathlib import PurePosixPath
from xml.etree.ElementTree import Element

from harmony.errors import HarmonyError
from harmony.reading.safe_xml import LARGEST_BYTES, iterate_elements

_CONTAINER = "META-INF/container.xml"
_MOST_MEMBERS = 1000
_LARGEST_CONTAINER = 100_000


def read_archive(data: bytes, *, name: str) -> bytes:
    """Give the score's bytes out of an ``.mxl`` file.

    Nothing is unpacked to disk, so paths inside cannot lead anywhere; sizes are
    checked while unpacking, whatever the archive says of itself.

    Raises
    ------
    HarmonyError
        If the archive is broken, encrypted, too large, or holds no score.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = archive.infolist()
            if len(members) > _MOST_MEMBERS:
                raise HarmonyError(
                    f"{name} holds {len(members)} files; an .mxl file with one score is accepted.",
                    where=name,
                )
            wanted = _find_score(archive, name)
            return _unpack(archive, wanted, LARGEST_BYTES, name)
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError, OSError,
            UnicodeDecodeError, ValueError) as fault:  # fmt: skip
        if isinstance(fault, HarmonyError):
            raise
        raise HarmonyError(
            f"{name} is a damaged or locked archive; a whole .mxl file is accepted.", where=name
        ) from fault


def _find_score(archive: zipfile.ZipFile, name: str) -> str:
    """Find the score as the container names it, or the only candidate."""
    names = set(archive.namelist())
    if _CONTAINER in names:
        held = _unpack(archive, _CONTAINER, _LARGEST_CONTAINER, name)
        for event, element in iterate_elements(held, name=f"{name}, {_CONTAINER}"):
            if event == "end" and _is_score_file(element) and element.get("full-path") in names:
                return element.get("full-path", "")
    candidates = sorted(
        found
        for found in names
        if PurePosixPath(found).suffix.lower() in (".musicxml", ".xml")
        and not found.startswith("META-INF/")
    )
    if not candidates:
        raise HarmonyError(
            f"{name} holds no MusicXML; an .mxl file with a score is accepted.", where=name
        )
    return candidates[0]


def _is_score_file(element: Element) -> bool:
    kind = element.get("media-type", "application/vnd.recordare.musicxml+xml")
    return element.tag.rpartition("}")[2] == "rootfile" and "musicxml" in kind


def _unpack(archive: zipfile.ZipFile, member: str, most: int, name: str) -> bytes:
    with archive.open(member) as stream:
        data = stream.read(most + 1)
    if len(data) > most:
        raise HarmonyError(
            f"{name} unpacks to more than {most / 1e6:g} MB; it is no score or far too long a one.",
            where=name,
        )
    return data
