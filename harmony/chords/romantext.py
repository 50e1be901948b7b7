"""Whole RomanText files (Tymoczko, Gotham, Cuthbert and Ariza 2019)."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from harmony.chords.bars import Bar, lay_out
from harmony.chords.grammar import COMMON_TIME, MOST_BARS, Reader, read_beat
from harmony.chords.progression import Progression, Slot
from harmony.chords.tokens import Token, tokenize
from harmony.errors import HarmonyError, TextError
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter
from harmony.pitch.spelling import PitchName

_BAR_LINE = re.compile(
    r"(?P<name>m\s?(?P<first>\d{1,6})(?:[a-h](?=[\s:=]|$))?(?:\s?-\s?m?(?P<last>\d{1,6}))?)"
    r"(?:\s?(?P<variant>var\s?\w*))?\s*:?(?=[\s=IViv]|$)\s*(?P<body>.*)",
)
_COPY = re.compile(r"=\s*m?\s?(\d{1,6})(?:\s?-\s?m?(\d{1,6}))?\s*$")
_PEDAL = re.compile(
    r"Pedal\s*:?\s*(?P<note>[#b]*[1-7]|[A-Ga-g][#b]*)\s+m\s?(?P<from>\d{1,6})(?:\s+b(?P<from_beat>\d{1,4}(?:\.\d{1,4})?))?"
    r"\s+m\s?(?P<to>\d{1,6})(?:\s+b(?P<to_beat>\d{1,4}(?:\.\d{1,4})?))?\s*$",
    re.IGNORECASE,
)
_NOTE = re.compile(r"(?:note|form)\b\s*:?", re.IGNORECASE)
_HEADER = re.compile(r"(?P<name>[A-Za-z][\w .'-]{0,40}?)\s*:\s*(?P<value>.*)")
_METER = re.compile(r"time\s*signature\s*:?\s*(?:slow\s|fast\s)?\s*(?P<meter>\S+)", re.IGNORECASE)
_BEAT = re.compile(r"(?<!\S)b(\d+(?:\.\d+)?)(?=[\s:]|$)")
_PLAIN_NUMERAL = re.compile(r"([#b]*[IViv]+)[^/]*(?:/\d[\d/]*)?(/[#b]*[IViv].*)?")
_SHAPE = re.compile(
    r"^\s*m\s?\d+(?:[a-h](?=[\s:=]))?(?:\s?-\s?m?\d+)?(?:\s?var\s?\w*)?\s*:?(?:[\s=IViv]|$)",
    re.MULTILINE,
)


@dataclass(frozen=True, slots=True)
class Variant:
    """Another analyst's reading of a bar: its name, such as ``m5var1``, and its chords.

    ``slots`` is empty where the reading was not written as RomanText; ``text``
    is as it stands in the file.
    """

    bar: int
    name: str
    text: str
    slots: tuple[Slot, ...]


@dataclass(frozen=True, slots=True)
class Pedal:
    """A name held below the chords from ``start`` to ``stop``, in quarters."""

    name: PitchName
    start: Fraction
    stop: Fraction


@dataclass(frozen=True, slots=True)
class RomanText:
    """What a file holds.

    ``headers`` are (name, value) in the order of the file, ``notes`` (bar it
    stands before, text), and ``remarks`` sentences about what stands in the file
    and could not be used.
    """

    progression: Progression
    headers: tuple[tuple[str, str], ...]
    variants: tuple[Variant, ...]
    notes: tuple[tuple[int, str], ...]
    pedals: tuple[Pedal, ...]
    remarks: tuple[str, ...]

    def header(self, name: str) -> str:
        """Give the value of a header such as ``Composer``, or nothing."""
        found = [value for known, value in self.headers if known.lower() == name.lower()]
        return found[0] if found else ""


def is_romantext(text: str) -> bool:
    """Say whether a text is a RomanText file: lines that begin with m1, and no bar lines."""
    return _SHAPE.search(text) is not None and not re.search(r"(?<!\|)\|(?!\|)(?!:)", _bodies(text))


def _bodies(text: str) -> str:
    """Give the lines that hold bars, for headers and notes may hold any sign."""
    return "\n".join(line for line in text.splitlines() if _SHAPE.match(line))


def read_romantext(text: str, *, key: Key | None = None, meter: Meter | None = None) -> RomanText:
    """Read a whole file.

    Raises
    ------
    TextError
        At the first chord, beat or bar that cannot be read, with its line.
    """
    reader = _FileReader(text, key, meter or COMMON_TIME)
    reader.count_beats()
    start = 0
    for line in text.splitlines(keepends=True):
        reader.take_line(line.rstrip("\r\n"), start)
        start += len(line)
    return reader.finish()


class _FileReader:
    """Reads line after line, bars into the progression's own reader."""

    def __init__(self, text: str, key: Key | None, meter: Meter) -> None:
        self.text = text
        self.bars = Reader(text, key, meter)
        self.done: dict[int, Bar] = {}
        self.keys: dict[int, Key | None] = {}  # the key at the end of each bar
        self.headers: list[tuple[str, str]] = []
        self.notes: list[tuple[int, str]] = []
        self.drafts: list[tuple[int, str, str, int]] = []
        self.pedal_lines: list[re.Match[str]] = []
        self.remarks: list[str] = []
        self.number = 0
        #: meters whose beats the analyst counts shorter than they are, and by how much
        self.shorter_beats: dict[Meter, int] = {}

    def count_beats(self) -> None:
        """See where a file counts 6/8 in eighths or 2/2 in quarters, by its beat numbers."""
        meter = self.bars.meter
        for line in self.text.splitlines():
            if match := _METER.match(line.strip()):
                try:
                    meter = Meter.from_text(match["meter"])
                except HarmonyError:
                    continue  # told with its line when the reading comes to it
            elif (match := _BAR_LINE.match(line.strip())) and not match["variant"]:
                beats = [float(found) for found in _BEAT.findall(match["body"])]
                shorter = 3 if meter.is_compound else 2 if meter.unit == 2 else 1
                if shorter > 1 and max(beats, default=1) >= len(meter.beats_quarters) + 1:
                    self.shorter_beats[meter] = shorter
        for known, shorter in self.shorter_beats.items():
            unit = "eighths" if shorter == 3 else "half beats"
            self.remarks.append(f"In {known} the beats of this file are counted in {unit}.")

    def take_line(self, line: str, start: int) -> None:
        """Take one line of the file."""
        stripped = line.strip()
        if not stripped:
            return
        start += line.index(stripped[0])
        if match := _BAR_LINE.match(stripped):
            self._take_bar(match, stripped, start)
        elif match := _METER.match(stripped):
            self._take_meter(match, start)
        elif match := _PEDAL.match(stripped):
            self.pedal_lines.append(match)
        elif _NOTE.match(stripped):
            self.notes.append((self.number + 1, stripped.partition(":")[2].strip()))
        elif match := _HEADER.match(stripped):
            self.headers.append((match["name"], match["value"].strip()))
        elif not self.done:
            self.headers.append(("", stripped))
        else:
            self.remarks.append(f"The line {stripped!r} is neither a bar nor a header.")

    def _take_meter(self, match: re.Match[str], start: int) -> None:
        try:
            self.bars.meter = Meter.from_text(match["meter"])
        except HarmonyError as wrong:
            raise self._fault(wrong.message, start, start + len(match[0])) from wrong

    def _take_bar(self, match: re.Match[str], line: str, start: int) -> None:
        first, last = int(match["first"]), int(match["last"] or match["first"])
        body, body_start = match["body"], start + match.start("body")
        if max(first, last) > MOST_BARS:
            raise self._fault(
                f"Bar {max(first, last)} is beyond any piece; up to {MOST_BARS} are accepted.",
                start, start + len(match["name"]),
            )  # fmt: skip
        if match["variant"]:
            name = re.sub(r"\s", "", line[: match.start("body")]).rstrip(":")
            self.drafts.append((first, name, body, body_start))
            return
        if copied := _COPY.match(body):
            self._copy(first, last, copied, start, start + len(line))
            return
        if first <= self.number and self.done:
            if first in self.done:
                # A bar given twice is a second reading, like a variant.
                self.drafts.append((first, match["name"], body, body_start))
                return
            raise self._fault(
                f"Bar {first} comes after bar {self.number}; bars are accepted in order.",
                start, start + len(match["name"]),
            )  # fmt: skip
        self._keep(self._read_bar(first, body, body_start))

    def _read_bar(self, number: int, body: str, start: int) -> Bar:
        reader = self.bars
        reader.bar = Bar(number, reader.meter)
        reader.bars = []
        reader.beat = None
        waiting: Token | None = None
        for token in tokenize(self.text, start=start, end=start + len(body)):
            if token.kind == "bar":
                continue  # || and repeats mark phrases; the line is the bar
            if token.kind == "beat" and reader.beat is not None:
                # Two beats in a row: the first has lost its chord, the one before sounds on.
                self._remark_lost_beat(number, waiting)
                reader.beat = None
            waiting = token
            if token.kind == "word" and token.text.endswith("/"):
                self._take_open_slash(token, number)
            else:
                reader.take(token)
            if token.kind == "beat" and reader.beat and reader.meter in self.shorter_beats:
                beat = 1 + (reader.beat[0] - 1) / self.shorter_beats[reader.meter]
                reader.beat = beat, token
        if reader.beat is not None:
            self._remark_lost_beat(number, waiting)
            reader.beat = None
        return reader.bar

    def _take_open_slash(self, token: Token, number: int) -> None:
        """Read ``V/`` before ``III`` as ``V/III``: applied to the chord that follows it."""
        reader = self.bars
        found, key = self._find_next_numeral(token.end)
        figure = token.text + found if found else token.text[:-1]
        self.remarks.append(f"In bar {number} {token.text} is read as {figure}.")
        kept, reader.key = reader.key, key or reader.key
        reader.take(token._replace(text=figure))
        reader.key = kept

    def _find_next_numeral(self, place: int) -> tuple[str, Key | None]:
        """Give the next numeral without its figures, and a new key before it or None."""
        key, chain = None, ""
        end = self.text.find("\n", place)
        rest = self.text[place : end if end >= 0 else len(self.text)]
        later = self.text[end:].splitlines() if end >= 0 else []
        matches = filter(None, (_BAR_LINE.match(line.strip()) for line in later))
        lines = [rest, *(match["body"] for match in matches if not match["variant"])]
        for line in lines:
            for token in tokenize(line):
                if token.kind == "key":
                    key = self.bars.words.read_key(token.text, token.start)
                elif token.kind == "word":
                    head = _PLAIN_NUMERAL.match(token.text.removesuffix("/"))
                    chain += head[1] + (head[2] or "") if head else ""
                    if not token.text.endswith("/"):
                        return chain, key
                    chain += "/"  # the next one is itself applied to what follows it
        return chain.removesuffix("/"), key

    def _remark_lost_beat(self, number: int, token: Token | None) -> None:
        mark = "" if token is None else f" {token.text}"
        self.remarks.append(f"In bar {number} the beat{mark} has no chord.")

    def _keep(self, bar: Bar) -> None:
        self.done[bar.number] = bar
        self.keys[bar.number] = self.bars.key
        self.number = bar.number

    def _copy(self, first: int, last: int, match: re.Match[str], start: int, end: int) -> None:
        source = int(match[1])
        source_last = int(match[2] or match[1])
        if last - first != source_last - source or source_last >= first:
            raise self._fault(
                f"Bars {first} to {last} cannot be bars {source} to {source_last} again; as many"
                " bars, from before, are accepted.",
                start, end,
            )  # fmt: skip
        for number in range(first, last + 1):
            original = self.done.get(number - first + source)
            if original is None:
                # No chord entered there, so none enters here.
                self._keep(Bar(number, self.bars.meter))
                continue
            self.bars.key = self.keys[original.number]
            copy = Bar(number, original.meter, list(original.events))
            self._keep(copy)

    def finish(self) -> RomanText:
        """Lay the bars out and resolve variants and pedals."""
        if not any(bar.events for bar in self.done.values()):
            raise self._fault(
                "The file has no chord; lines such as 'm1 D: I b3 V6' are accepted.",
                0, max(len(self.text), 1),
            )  # fmt: skip
        bars = self._with_empty_bars()
        progression = lay_out(bars, self.text, self.bars.fault)
        pedals = []
        for match in self.pedal_lines:
            try:
                pedal = _read_pedal(match, progression)
                progression = _hold(progression, pedal)
                pedals.append(pedal)
            except HarmonyError as wrong:
                self.remarks.append(f"The line {match[0]!r} is left aside: {wrong.message}")
        return RomanText(
            progression, tuple(self.headers), tuple(self._read_variants()), tuple(self.notes),
            tuple(pedals), tuple(self.remarks),
        )  # fmt: skip

    def _with_empty_bars(self) -> list[Bar]:
        """Put in the bars that no line speaks of: the chord before sounds on in them."""
        first, last = min(self.done), max(self.done)
        bars: list[Bar] = []
        meter = self.done[first].meter
        for number in range(first, last + 1):
            bar = self.done.get(number) or Bar(number, meter)
            meter = bar.meter
            bars.append(bar)
        return bars

    def _read_variants(self) -> list[Variant]:
        found = []
        for number, name, body, start in self.drafts:
            self.bars.key = self.keys.get(number - 1, self.bars.key)
            self.bars.meter = self.done[number].meter if number in self.done else self.bars.meter
            slots: tuple[Slot, ...] = ()
            try:
                bar = self._read_bar(number, body, start)
                if bar.events:
                    bar.number = 1
                    laid = lay_out([bar], self.text, self.bars.fault)
                    slots = tuple(replace(slot, bar=number) for slot in laid)
            except TextError as wrong:
                self.remarks.append(f"The reading {name} is left aside: {wrong.message}")
            found.append(Variant(number, name, body.strip(), slots))
        return found

    def _fault(self, message: str, start: int, end: int) -> TextError:
        line = self.text.count("\n", 0, start) + 1
        return TextError(message, text=self.text, start=start, end=end, where=f"line {line}")


def _read_pedal(match: re.Match[str], progression: Progression) -> Pedal:
    """Read a line such as ``Pedal: 5 m2 b3 m4 b1``: a degree of the key there, or a name."""
    meters = progression.meters
    first, last, note = int(match["from"]), int(match["to"]), match["note"]
    start = meters.offset(first, read_beat(f"b{match['from_beat'] or 1}"))
    stop = meters.bar_start(last) + meters.bar_length(last)
    if match["to_beat"]:
        stop = meters.offset(last, read_beat(f"b{match['to_beat']}"))
    if not note[-1].isdigit():
        return Pedal(PitchName.from_text(note), start, stop)
    keys = [slot.key for slot in progression if slot.onset <= start and slot.key is not None]
    if not keys:
        raise HarmonyError("there is no key to count its degree from.")
    alter = note.count("#") - note.count("b")
    return Pedal(keys[-1].degree(int(note[-1]), alter), start, stop)


def _hold(progression: Progression, pedal: Pedal) -> Progression:
    """Set a pedal on the chords that begin while it is held."""
    slots = tuple(
        replace(slot, pedal=pedal.name) if pedal.start <= slot.onset < pedal.stop else slot
        for slot in progression
    )
    return replace(progression, slots=slots)
