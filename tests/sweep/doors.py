"""Every door by which a stranger's file or a typed text comes in, with good input to spoil."""

from __future__ import annotations

import io
import tempfile
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

import harmony
from harmony.chords.figuredbass import realise_stages
from harmony.chords.leadsheet import read_symbol
from harmony.chords.roman import read_numeral
from harmony.harmonising.fixing import read_fixed
from harmony.harmonising.melody import Melody, analyse
from harmony.instruments.catalogue import ensemble
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter
from harmony.pitch.spelling import Pitch, PitchName
from harmony.reading.opening import read_bytes
from harmony.reading.theme import score_to_theme
from harmony.resources import find_corpora
from harmony.sketchbook import Keep, Record, Sketchbook, read_record
from harmony.themes.operations import OPERATIONS, vary_once
from harmony.voicings.pins import read_pins, read_registers
from harmony.workbench.harmonising.tune import read_repeat, read_typed
from harmony.workbench.progression.keeping import keep_to_choices, work_to_record
from harmony.workbench.progression.naming import read_name
from harmony.workbench.progression.state import Choices, PinnedNote
from harmony.workbench.progression.work import find_best
from harmony.writing.midi import write_midi
from harmony.writing.musicxml import write_musicxml
from tests.sweep import samples


@dataclass(frozen=True)
class Door:
    """Where input comes in: ``enter`` takes it, ``good`` is let in, ``words`` are of its kind."""

    enter: Callable[[bytes], object]
    good: tuple[bytes, ...]
    words: tuple[bytes, ...] = ()


def _text(take: Callable[[str], object]) -> Callable[[bytes], object]:
    return lambda data: take(data.decode("utf-8", "surrogateescape").replace("\udcff", ""))


def _door(take: Callable[[str], object], good: Sequence[str], words: Sequence[str] = ()) -> Door:
    encoded = [tuple(word.encode() for word in some) for some in (good, words)]
    return Door(_text(take), *encoded)


def _file(ending: str, good: Sequence[bytes], words: Sequence[bytes] = ()) -> Door:
    return Door(partial(_read_file, name=f"stranger{ending}"), tuple(good), tuple(words))


def _read_file(data: bytes, *, name: str) -> object:
    """Read as a desk does: the score, and the tune taken out of it."""
    score = read_bytes(data, name=name)
    write_musicxml(score)
    return score_to_theme(score)


@lru_cache(maxsize=1)
def _tunes() -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for path in sorted(find_corpora("loom_hall").glob("*.abc")))


@lru_cache(maxsize=1)
def _melody() -> Melody:
    return analyse(score_to_theme(read_bytes(_tunes()[0], name="tune.abc")))


@lru_cache(maxsize=1)
def _record() -> Record:
    """Give what desk 1 remembers of a voicing with a note pinned and a chord named."""
    choices = (
        Choices(samples.PROGRESSION, "SATB choir")
        .with_pin(PinnedNote(1, Fraction(1), "Alto", Pitch.from_text("F#4")))
        .with_name(1, Fraction(1), "home")
    )
    return work_to_record(find_best(choices))


def _as_musicxml() -> list[bytes]:
    voiced = harmony.voice("D: I V6 | ii65 b3 V7 | I", "SATB choir").to_score()
    return [
        *(write_musicxml(read_bytes(tune, name="t.abc")) for tune in _tunes()),
        write_musicxml(voiced),
    ]


def _archived(data: bytes) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="score.xml"/></rootfiles></container>',
        )
        archive.writestr("score.xml", data)
    return held.getvalue()


def _as_archive_or_inside(data: bytes) -> object:
    """Half of all spoilt archives are whole ones with a spoilt score inside."""
    return _read_file(data if data[:2] == b"PK" else _archived(data), name="stranger.mxl")


def _as_ensemble(data: bytes) -> object:
    with tempfile.NamedTemporaryFile(suffix=".toml") as held:
        held.write(data)
        held.flush()
        return ensemble(held.name)


def _as_keep(data: bytes) -> object:
    record = read_record(data, name="stranger.json")
    return keep_to_choices(Keep("stranger", record, Path("stranger.musicxml")))


def _as_name(text: str) -> object:
    with tempfile.TemporaryDirectory() as folder:
        inner = Path(folder, "book")
        kept = Sketchbook(inner).keep(text, b"<score/>", _record())
        assert Sketchbook(inner).open(kept.name) == kept
        # Whatever the name, everything is inside.
        assert [path.name for path in Path(folder).iterdir()] == ["book"]
        assert kept.score_path.parent == inner
        return kept


def _as_numeral(text: str) -> object:
    return [read_numeral(text, Key.from_text(key)) for key in ("D", "f#")]


def _as_figures(text: str) -> object:
    after = PitchName.from_text("B")
    key = Key.from_text("a")
    return [
        realise_stages(PitchName.from_text("E"), text, key),
        realise_stages(PitchName.from_text("C"), text, key, bass_after=after),
    ]


def _as_pin(text: str) -> object:
    return read_pins([text], harmony.parse(samples.PROGRESSION), ensemble("SATB choir"))


def _as_register(text: str) -> object:
    name, _, value = text.partition("=")
    return [read_registers(given, ensemble("SATB choir")) for given in ([text], {name: value})]


def _as_bars(text: str) -> object:
    return score_to_theme(read_bytes(_tunes()[0], name="t.abc"), bars=text)


@lru_cache(maxsize=1)
def doors() -> dict[str, Door]:
    """Give every door by its name."""
    xml = _as_musicxml()
    songs = [write_midi(read_bytes(tune, name="t.abc")) for tune in _tunes()]
    toml = (
        'name = "Three"\npreset = "strings"\nsource = "ours"\ngaps = [12, 0]\n\n'
        + "".join(
            f'[[voices]]\nname = "{name}"\ninstrument = "{of}"\ncount = 1\nlow = "{low}"\n'
            f'high = "{high}"\n\n'
            for name, of, low, high in (
                ("A", "violin", "G3", "E6"),
                ("B", "viola", "C3", "A5"),
                ("C", "cello", "C2", "A4"),
            )
        )
        + '[[groups]]\nname = "all"\nvoices = ["A", "B", "C"]\n'
    ).encode()
    operations = [one.example for one in OPERATIONS]
    theme = score_to_theme(read_bytes(_tunes()[0], name="t.abc"))
    everything: dict[str, Any] = {
        "musicxml": _file(".musicxml", xml, samples.XML_WORDS),
        "mxl": Door(_as_archive_or_inside, (*map(_archived, xml[-2:]), xml[0]), samples.XML_WORDS),
        "midi": _file(
            ".mid",
            songs,
            (
                b"MTrk",
                b"\x00\x90\x3c\x40",
                b"\xff\x58\x04\x00\xff\x00\x00",
                b"\xff\x59\x02\x7f\x09",
                b"\xff\x51\x03\x00\x00\x00",
                b"\xff\xff\xff\x7f",
                b"\xff\x2f\x00",
            ),
        ),
        "abc": _file(".abc", _tunes(), samples.ABC_WORDS),
        "kern": _file(".krn", [samples.KERN], samples.KERN_WORDS),
        "romantext": _door(harmony.parse, [samples.RNTXT], samples.RNTXT_WORDS),
        "harte": _door(
            harmony.parse, [samples.HARTE], ["N\n", "X\n", ":min", "/5", "(*3)", "1e9 ", ":hdim7"]
        ),
        "progression": _door(
            harmony.parse,
            [
                samples.PROGRESSION,
                "Dmaj7 A/C# | Bm7 E7sus4 E7b9 | F#ø7 | N.C.",
                "{C2 G2 E3 Bb3 F#4} | % | I",
                "pedal D [ D: I | V7/ii/V ] | Cad64 V | a: viio7[add9] | {F Bb Eb Ab, stacked}",
            ],
            samples.CHORD_WORDS,
        ),
        "numeral": _door(_as_numeral, ["V65/ii", "#viio7", "It6", "bVI[no5]"], samples.CHORD_WORDS),
        "symbol": _door(read_symbol, ["C#m7b5/G", "F13#11", "Bb6/9", "Gsus4"], samples.CHORD_WORDS),
        "figures": _door(
            _as_figures, ["6/5", "7/#", "9/4-8/3", "#6/4/3"], ["n", "x", "-", "/", "11"]
        ),
        "key": _door(
            Key.from_text, ["D", "eb", "F# phrygian", "Abb"], ["dorian", " minor", "#", "♭"]
        ),
        "meter": _door(Meter.from_text, ["3/4", "3+2/8", "12/8"], ["/", "+", "C", "0", "-"]),
        "pin": _door(
            _as_pin, ["1.1 Soprano=F#5", "2.3 Alto=E4"], ["/2", "=", ".", "Bass", " ", "-1"]
        ),
        "register": _door(
            _as_register, ["Soprano=D4-F5", "2 Tenor=C3-E4"], ["-", "=", "C-1", "##"]
        ),
        "fixed": _door(
            lambda text: read_fixed([text], _melody()), ["3.1=V6", "2=Dm7", "4.1!=I"], ["=", "!"]
        ),
        "bars": _door(_as_bars, ["1-8", "3", "2–4"], ["-", "0"]),
        "operation": _door(lambda text: vary_once(theme, text), operations, operations),
        "notes": _door(
            harmony.spacing, ["C2 G2 E3 C4", "60 64 67", "Bb1, F#4"], ["C-1", "128", "##", ","]
        ),
        "ensemble": _door(
            ensemble, ["string quartet + horn quartet", "piano"], ["+", "choir", ".toml", "~"]
        ),
        "ensemble_file": Door(
            _as_ensemble,
            (toml,),
            (
                b"[[spans]]\n",
                b"[[staves]]\n",
                b"= -1",
                b"1979-05-27",
                b"semitones = 12\n",
                b"[]",
                b"true",
                b"[[voices]]\n",
                b"piano",
                b"C-1",
                b"inf",
            ),
        ),
        "keep": Door(
            _as_keep,
            (_record().to_bytes(),),
            (
                b"null",
                b"true",
                b"[]",
                b"{}",
                b'"names": [[1, "1", "x"]]',
                b'"names": [[1, "a", 3]], ',
                b'"registers": {"Alto": "C4-A4"}, ',
                b'"settings": {',
                b'"sliders": 1, ',
                b"NaN",
            ),
        ),
        "name_of_a_keep": _door(
            _as_name, ["hymn", "хорал 2", "讃美歌.1"], ["..", "/", "\\", "~", ".json", "nul", ":"]
        ),
        "name_of_a_chord": _door(read_name, ["Tristan", "C6/9"], ["\n", "x" * 50]),
        "typed_tune": _door(
            read_typed, ["M:4/4\nL:1/4\nK:D\nD2 FA | d4 |"], [w.decode() for w in samples.ABC_WORDS]
        ),
        "repeat": _door(
            lambda text: read_repeat(text, _melody()), ["1 in 6", "1-2 in 5 7", "1 = 3"], ["-", ","]
        ),
    }
    return everything
