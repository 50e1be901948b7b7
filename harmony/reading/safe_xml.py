"""XML from strangers: no entities, no outside files, bounded size and depth.

Python's own expat is used, whose parser never fetches anything; what is left to
refuse is entities (which can grow without bound) and shapes meant to exhaust
memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from xml.etree.ElementTree import Element, ParseError, XMLPullParser
from xml.parsers import expat

from harmony.errors import HarmonyError

LARGEST_BYTES = 40_000_000  # a long orchestral score with its layout has about 30 MB
DEEPEST = 64  # MusicXML nests about ten deep
MOST_ELEMENTS = 6_000_000
_CHUNK = 1 << 16


def iterate_elements(data: bytes, *, name: str) -> Iterator[tuple[str, Element]]:
    """Give ("start" or "end", element) in order of the document.

    Whoever reads may clear an element at its end, so that memory stays bounded.

    Raises
    ------
    HarmonyError
        If the data is too large or too deep, declares entities, or is not XML.
    """
    if len(data) > LARGEST_BYTES:
        raise HarmonyError(
            f"{name} holds {len(data) / 1e6:.0f} MB of score text; up to "
            f"{LARGEST_BYTES // 1_000_000} MB are accepted.",
            where=name,
        )
    _check_prologue(data, name)
    depth = count = 0
    parser: Any = XMLPullParser(("start", "end"))
    try:
        for place in range(0, len(data), _CHUNK):
            parser.feed(data[place : place + _CHUNK])
            for event, element in parser.read_events():
                if event == "start":
                    depth += 1
                    count += 1
                    if depth > DEEPEST or count > MOST_ELEMENTS:
                        raise HarmonyError(
                            f"{name} is not a score: its elements are nested too deep or too many.",
                            where=name,
                        )
                else:
                    depth -= 1
                yield event, element
        parser.close()
        yield from parser.read_events()
    except (ParseError, LookupError, ValueError) as fault:
        if isinstance(fault, HarmonyError):
            raise
        raise _broken(name, fault) from fault


def _check_prologue(data: bytes, name: str) -> None:
    """Refuse entities; they can only be declared before the first element."""
    reached = False

    def refuse(*_: object) -> None:
        raise HarmonyError(
            f"{name} declares XML entities, which no score needs; a file without them is accepted.",
            where=name,
        )

    def stop(*_: object) -> None:
        nonlocal reached
        reached = True

    parser = expat.ParserCreate()
    parser.EntityDeclHandler = refuse
    parser.StartElementHandler = stop
    try:
        for place in range(0, len(data), _CHUNK):
            parser.Parse(data[place : place + _CHUNK])
            if reached:
                return
        parser.Parse(b"", True)  # noqa: FBT003 -- expat takes it by position only
    except (expat.ExpatError, LookupError, ValueError) as fault:
        if isinstance(fault, HarmonyError):
            raise
        # A fault after the first element is met again, and told with its place.
        if not reached:
            raise _broken(name, fault) from fault


def _broken(name: str, fault: Exception) -> HarmonyError:
    code = getattr(fault, "code", None)
    line = getattr(fault, "position", (getattr(fault, "lineno", 0),))[0]
    reason = expat.errors.messages.get(code, str(fault)) if code else str(fault)
    where = f"{name}, line {line}" if line else name
    return HarmonyError(
        f"{name} cannot be read as XML (line {line}: {reason}); a whole MusicXML file is accepted.",
        where=where,
    )
