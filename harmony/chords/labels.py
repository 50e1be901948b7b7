"""Files of chord labels: lines of ``start end label`` in seconds, in Harte's syntax."""

from __future__ import annotations

import re
from fractions import Fraction

from harmony.chords.bars import Bar, Event, lay_out
from harmony.chords.harte import read_harte
from harmony.chords.progression import Progression
from harmony.errors import TextError
from harmony.pitch.meter import Meter

_LINE = re.compile(r"\s*(\d{1,6}(?:\.\d*)?)\s+(\d{1,6}(?:\.\d*)?)\s+(\S+)\s*")
_METER = Meter((4,), 4)
#: Times are kept to a ninety-sixth of a second: far finer than anyone labels.
FINEST = 96


def is_label_file(text: str) -> bool:
    """Say whether a text begins with a line of two times and a label."""
    first = text.lstrip().partition("\n")[0]
    return _LINE.fullmatch(first) is not None


def read_labels(text: str) -> Progression:
    """Read a file of labels.

    Such a file knows seconds and no bars; they are laid out at 60 quarters a
    minute in 4/4, so an offset in quarters is the time in seconds. ``N`` and
    ``X`` (none, unknown) are N.C.

    Raises
    ------
    TextError
        At the first line whose times do not rise, or whose label cannot be read.
    """
    bars: dict[int, Bar] = {}
    start, end = 0, Fraction(0)
    for number, line in enumerate(text.splitlines(keepends=True), start=1):
        if line.strip():
            end = _take_line(line, start, number, end, bars, text)
        start += len(line)
    if end % _METER.bar_quarters:
        _place(bars, end, Event(None, None, (max(start - 1, 0), start)))
    if not bars:
        raise TextError(
            "The file has no label that lasts; 0.0 2.5 D:maj7 is accepted.", text=text, start=0,
            end=1, expected="a label whose end is after its start", where="line 1",
        )  # fmt: skip
    last = max(bars)
    rows = [bars.get(number) or Bar(number, _METER) for number in range(1, last + 1)]

    def fault(message: str, first: int, stop: int, bar: int) -> TextError:
        return TextError(message, text=text, start=first, end=stop, where=f"bar {bar}")

    return lay_out(rows, text, fault)


def _take_line(
    line: str, start: int, number: int, before: Fraction, bars: dict[int, Bar], text: str
) -> Fraction:
    """Place one label and give its end."""
    match = _LINE.fullmatch(line)
    span = (start, start + len(line.rstrip()))
    if match is None:
        raise TextError(
            f"Line {number} is not a label with its times; 0.0 2.5 D:maj7 is accepted.",
            text=text, start=span[0], end=span[1], expected="two times and a label",
            where=f"line {number}",
        )  # fmt: skip
    onset, end = _seconds(match[1]), _seconds(match[2])
    if onset < before or end < onset:
        raise TextError(
            f"The times of line {number} do not follow those before; times that rise are accepted.",
            text=text, start=span[0], end=span[1], expected="rising times", where=f"line {number}",
        )  # fmt: skip
    try:
        chord = read_harte(match[3])
    except TextError as wrong:
        place = start + match.start(3)
        raise TextError(
            f"Line {number}: {wrong.message}", text=text, start=place + wrong.start,
            end=place + wrong.end, expected=wrong.expected, where=f"line {number}",
        ) from wrong  # fmt: skip
    if end > onset:
        if onset > before:
            _place(bars, before, Event(None, None, span))  # nothing is labelled there
        _place(bars, onset, Event(None, chord, span))
    return end


def _place(bars: dict[int, Bar], time: Fraction, event: Event) -> None:
    count, rest = divmod(time, _METER.bar_quarters)
    bar = bars.setdefault(int(count) + 1, Bar(int(count) + 1, _METER))
    bar.events.append(event._replace(beat=rest + 1))


def _seconds(text: str) -> Fraction:
    return Fraction(round(Fraction(text) * FINEST), FINEST)
