"""MEI for the notes of one layer, built as strings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch
from harmony.scoring.event import Event
from harmony.scoring.layout import Written
from harmony.writing.written import IdGiver, ties_of, write_pitch

DURATIONS = {
    "breve": "breve", "whole": "1", "half": "2", "quarter": "4", "eighth": "8", "16th": "16",
    "32nd": "32", "64th": "64", "128th": "128", "256th": "256",
}  # fmt: skip
_SIGNS = {-3: "tf", -2: "ff", -1: "f", 0: "n", 1: "s", 2: "x", 3: "ts"}
_GESTURES = {**_SIGNS, 2: "ss"}
_ARTICULATIONS = {
    "accent": "acc", "strong-accent": "marc", "staccato": "stacc", "tenuto": "ten",
    "staccatissimo": "stacciss", "spiccato": "spicc", "detached-legato": "ten stacc",
    "doit": "doit", "scoop": "scoop", "falloff": "fall", "plop": "plop", "up-bow": "upbow",
    "down-bow": "dnbow", "harmonic": "harm", "open-string": "open", "stopped": "stop",
    "snap-pizzicato": "snap", "stress": "stress", "unstress": "unstress", "open": "open",
}  # fmt: skip
#: mark -> the element that MEI keeps beside the notes, and its attributes
_BESIDE = {
    "trill-mark": ("trill", ""),
    "mordent": ("mordent", ' form="lower"'),
    "inverted-mordent": ("mordent", ' form="upper"'),
    "turn": ("turn", ' form="upper"'),
    "delayed-turn": ("turn", ' form="upper" delayed="true"'),
    "inverted-turn": ("turn", ' form="lower"'),
    "arpeggiate": ("arpeg", ""),
    "breath-mark": ("breath", ""),
    "caesura": ("caesura", ""),
    "fingering": ("fing", ""),
}
_WORDS = {"single": "s", "begin": "i", "middle": "m", "end": "t"}


@dataclass(slots=True)
class LayerWriter:
    """Writes layers; ``control`` gathers what MEI keeps beside the notes of the bar.

    ``open_slurs`` holds the ids at which slurs began, by staff and number.
    """

    ids: IdGiver
    control: list[str] = field(default_factory=list)
    open_slurs: dict[tuple[int, int], str] = field(default_factory=dict)
    rest_ids: IdGiver = field(default_factory=lambda: IdGiver("r"))

    def write(
        self,
        notes: Sequence[Written],
        staff: int,
        interval: Interval,
        shown: set[tuple[int, int]],
        *,
        stem: str,
        shows_silence: bool,
        insertions: dict[int, str],
    ) -> str:
        """Give the content of a ``<layer>``; ``insertions`` (clefs, keys) go in by offset."""
        out: list[str] = []
        stem_attribute = f' stem.dir="{stem}"' if stem else ""
        for written in notes:
            if insertions and written.offset in insertions:
                out.append(insertions.pop(written.offset))
            if written.opens_tuplet and written.tuplet is not None:
                ratio = written.tuplet
                out.append(f'<tuplet num="{ratio.actual}" numbase="{ratio.normal}">')
            if written.beams and written.beams[0] == "begin":
                out.append("<beam>")
            event = written.event
            if event is None or not event.pitches:
                out.append(self._rest(written, staff, shows_silence=shows_silence))
            else:
                out.append(self._note(written, event, staff, interval, shown, stem_attribute))
            if written.beams and written.beams[0] == "end":
                out.append("</beam>")
            if written.closes_tuplet:
                out.append("</tuplet>")
        return "".join(out)

    def _rest(self, written: Written, staff: int, *, shows_silence: bool) -> str:
        event = written.event
        if event is None and not shows_silence:
            return f"<space {_duration(written)}/>"
        own_id = event.id if event is not None else ""
        name = self.ids.give(own_id) if own_id else self.rest_ids.give("")
        if event is not None:
            self._add_control(event, written, name, staff)
        if written.fills_bar:
            return f'<mRest xml:id="{name}"/>'
        return f'<rest xml:id="{name}" {_duration(written)}/>'

    def _note(
        self,
        written: Written,
        event: Event,
        staff: int,
        interval: Interval,
        shown: set[tuple[int, int]],
        stem: str,
    ) -> str:
        length = _duration(written)
        grace = ""
        if event.grace is not None:
            grace = f' grace="{"unacc" if event.grace.slashed else "acc"}"'
        ties = ties_of(written)
        heads = []
        single = len(event.pitches) == 1
        holder = self.ids.give(event.id)
        for index, pitch in enumerate(event.pitches):
            head = _head(
                write_pitch(pitch, interval, event.pitches),
                ties[index],
                shown=(id(written), index) in shown,
            )
            # In a chord the first note has the event's own id and the chord a further one.
            name = holder if index == 0 else self.ids.give(event.id)
            heads.append(f'xml:id="{name}" {head}')
        inside = _inside(event) if written.piece == 0 else ""
        if event.marks or event.slurs:
            self._add_control(event, written, holder, staff)
        if single:
            return f"<note {heads[0]} {length}{grace}{stem}>{inside}</note>"
        name = self.ids.give(event.id)
        return (
            f'<chord xml:id="{name}" {length}{grace}{stem}>'
            + "".join(f"<note {head}/>" for head in heads)
            + inside
            + "</chord>"
        )

    def _add_control(self, event: Event, written: Written, name: str, staff: int) -> None:
        add = self.control.append
        if "fermata" in event.marks and written.is_last:
            add(f'<fermata staff="{staff}" startid="#{name}" place="above"/>')
        for kind, number in event.slurs:
            if kind == "start" and written.piece == 0:
                self.open_slurs[staff, number] = name
            elif kind == "stop" and written.is_last:
                start = self.open_slurs.pop((staff, number), None)
                if start is not None and start != name:
                    add(f'<slur staff="{staff}" startid="#{start}" endid="#{name}"/>')
        if written.piece:
            return
        for mark in event.marks:
            kind, _, text = mark.partition("=")
            element, attributes = _BESIDE.get(kind, ("", ""))
            if element:
                opening = f'{element} staff="{staff}" startid="#{name}"{attributes}'
                add(f"<{opening}>{escape(text)}</{element}>" if text else f"<{opening}/>")


def _duration(written: Written) -> str:
    dots = f' dots="{written.dots}"' if written.dots else ""
    return f'dur="{DURATIONS[written.value]}"{dots}'


def _head(pitch: Pitch, tie: tuple[bool, bool], *, shown: bool) -> str:
    stop, start = tie
    text = f'pname="{pitch.letter.lower()}" oct="{pitch.octave}"'
    if shown:
        text += f' accid="{_SIGNS.get(pitch.alter, "n")}"'
    elif pitch.alter:
        text += f' accid.ges="{_GESTURES.get(pitch.alter, "n")}"'
    if stop or start:
        text += f' tie="{"m" if stop and start else "i" if start else "t"}"'
    return text


def _inside(event: Event) -> str:
    """Give what MEI keeps inside a note: articulations, syllables, tremolo strokes."""
    if not event.marks and not event.lyrics:
        return ""
    out = [
        f'<artic artic="{_ARTICULATIONS[mark]}"/>' for mark in event.marks if mark in _ARTICULATIONS
    ]
    for lyric in event.lyrics:
        line = ' con="u"' if lyric.extends else ' con="d"' if lyric.syllable in (
            "begin", "middle"
        ) else ""  # fmt: skip
        out.append(
            f'<verse n="{lyric.verse}"><syl wordpos="{_WORDS[lyric.syllable]}"{line}>'
            f"{escape(lyric.text)}</syl></verse>"
        )
    return "".join(out)
