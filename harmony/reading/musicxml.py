"""MusicXML files as scores, read directly.

Read by our own reader, not by a library: it keeps spelling and exact time, reads
bar by bar so that memory stays bounded, and lists what it cannot keep.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval
from harmony.reading.assembly import (
    RawPart,
    build_part,
    merge_bars,
    merge_harmonies,
    merge_keys,
    merge_tempi,
)
from harmony.reading.bars import are_regular, place_bars
from harmony.reading.losses import Losses
from harmony.reading.musicxml_note import text_of, whole_of
from harmony.reading.musicxml_part import PartReader
from harmony.reading.safe_xml import iterate_elements
from harmony.scoring.part import GROUP_SYMBOLS, Group
from harmony.scoring.score import Score

_MOST_PARTS = 400


@dataclass(slots=True)
class _Header:
    """What a file says before its music."""

    title: str = ""
    composer: str = ""
    is_concert: bool = False
    names: dict[str, RawPart] = field(default_factory=dict)
    groups: list[Group] = field(default_factory=list)


def read_musicxml(data: bytes, *, name: str) -> Score:
    """Read a MusicXML file, partwise or timewise.

    Raises
    ------
    HarmonyError
        If it is not well-formed XML, not MusicXML, or cannot be a score.
    """
    losses = Losses()
    header = _Header()
    readers: dict[str, PartReader] = {}
    root = ""
    current: PartReader | None = None
    held: list[Element] = []
    for event, element in iterate_elements(data, name=name):
        element.tag = element.tag.rpartition("}")[2]
        if event == "start":
            if not held:
                root = _check_root(element, name)
            held.append(element)
            if element.tag == "part":
                part_id = element.get("id") or f"part {len(readers) + 1}"
                if part_id not in readers:
                    readers[part_id] = PartReader(losses, is_concert=header.is_concert)
                if len(readers) > _MOST_PARTS:
                    raise HarmonyError(
                        f"{name} has more than {_MOST_PARTS} parts; one with fewer is accepted.",
                        where=name,
                    )
                current = readers[part_id]
            continue
        held.pop()
        tag = element.tag
        if tag == "measure" and root == "score-partwise" and current is not None:
            current.read_measure(element)
            element.clear()
        elif tag == "part" and root == "score-timewise" and current is not None:
            element.set("number", held[-1].get("number") or "")
            current.read_measure(element)
            element.clear()
        elif len(held) == 1:
            _read_header(header, element)
    return _assemble(header, readers, losses, name)


def _check_root(element: Element, name: str) -> str:
    if element.tag not in ("score-partwise", "score-timewise"):
        raise HarmonyError(
            f"{name} is not MusicXML: it begins with <{element.tag}>; a score exported as MusicXML"
            " is accepted.",
            where=name,
        )
    return element.tag


def _read_header(header: _Header, element: Element) -> None:
    if element.tag == "work":
        header.title = text_of(element, "work-title")
    elif element.tag == "movement-title" and not header.title:
        header.title = (element.text or "").strip()
    elif element.tag == "identification":
        for creator in element.findall("creator"):
            if creator.get("type", "composer") == "composer" and not header.composer:
                header.composer = (creator.text or "").strip()
    elif element.tag == "defaults":
        header.is_concert = element.find("concert-score") is not None
    elif element.tag == "part-list":
        _read_part_list(header, element)


def _read_part_list(header: _Header, element: Element) -> None:
    opened: dict[str, tuple[int, Element]] = {}
    for child in element:
        if child.tag == "score-part":
            header.names[child.get("id") or ""] = _read_score_part(child)
        elif child.tag == "part-group":
            number = child.get("number", "1")
            if child.get("type") == "start":
                opened[number] = (len(header.names), child)
            elif number in opened:
                first, start = opened.pop(number)
                if first < len(header.names):
                    header.groups.append(_group(start, first, len(header.names) - 1))


def _group(start: Element, first: int, last: int) -> Group:
    symbol = text_of(start, "group-symbol", "none")
    return Group(
        first,
        last,
        text_of(start, "group-name"),
        symbol if symbol in GROUP_SYMBOLS else "none",
        text_of(start, "group-abbreviation"),
    )


def _read_score_part(element: Element) -> RawPart:
    program = whole_of(element, "midi-instrument/midi-program", 1)
    return RawPart(
        name=" ".join(text_of(element, "part-name").split()),
        abbreviation=" ".join(text_of(element, "part-abbreviation").split()),
        instrument=text_of(element, "score-instrument/instrument-name"),
        sound=text_of(element, "score-instrument/instrument-sound"),
        midi_program=program if 1 <= program <= 128 else 1,
    )


def _assemble(header: _Header, readers: dict[str, PartReader], losses: Losses, name: str) -> Score:
    found: list[RawPart] = []
    for part_id, reader in readers.items():
        part = header.names.get(part_id) or RawPart(name=part_id)
        part.staves, part.notes, part.clefs = reader.staves, reader.notes, reader.clefs
        part.directions = reader.directions.directions
        part.tempi, part.harmonies = reader.directions.tempi, reader.harmonies
        part.keys, part.bars = reader.keys, reader.bars
        part.transposition = reader.transposition or Interval(0, 0)
        found.append(part)
    if not any(part.notes for part in found):
        raise HarmonyError(
            f"{name} has no notes; a score with at least one is accepted.", where=name
        )
    meters, bars = place_bars(merge_bars([part.bars for part in found]), losses)
    starts = [bar.onset for bar in bars]
    harmonies = merge_harmonies(found, starts)
    return Score(
        parts=tuple(build_part(part, bars, losses) for part in found),
        meters=meters,
        tempi=merge_tempi(found, starts),
        harmonies=harmonies,
        keys=merge_keys(found, starts),
        groups=tuple(_known_groups(header.groups, len(found))),
        bars=() if are_regular(bars, meters) else bars,
        title=header.title,
        composer=header.composer,
        source=name,
        losses=losses.sentences(has_layout=True),
    )


def _known_groups(groups: Iterable[Group], parts: int) -> Iterable[Group]:
    """Keep the groups whose parts are all there."""
    return (group for group in groups if group.last < parts)
