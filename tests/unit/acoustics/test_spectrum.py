"""Spectra: plain tones, formants that stay in place, tables of a composer's own."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from harmony.acoustics.spectrum import Spectrum, plain_amplitudes, read_spectra, spectrum
from harmony.errors import HarmonyError
from harmony.instruments.catalogue import ensemble, instruments
from harmony.instruments.timbre import (
    Comparison,
    hear,
    spectra_of,
    voice_spectrum,
    wish_for,
)
from harmony.pitch.spelling import Pitch
from harmony.tables import read_text

CHORD = [Pitch.from_text(name) for name in ("C3", "E3", "G3", "C4")]


def test_a_plain_tone_has_one_over_n() -> None:
    assert spectrum("plain").amplitudes(110.0) == pytest.approx(plain_amplitudes())
    assert not plain_amplitudes().flags.writeable


@pytest.mark.parametrize("dynamic", ["pp", "mf", "ff"])
def test_every_instrument_has_a_spectrum(dynamic: str) -> None:
    for one in instruments():
        levels = spectrum(one.spectrum, dynamic).amplitudes([65.4, 440.0])
        assert levels.shape == (2, 16)
        assert levels.max(axis=1) == pytest.approx([1.0, 1.0])
        assert (levels >= 0).all()


def test_a_formant_stays_where_it_is() -> None:
    # main formant about 340 Hz (Meyer 2009): third partial of a low note, first of a high
    horn = spectrum("horn", "mf")
    assert int(np.argmax(horn.amplitudes(110.0))) == 2
    assert int(np.argmax(horn.amplitudes(349.2))) == 0
    # 12 dB an octave below it: an octave lower is a quarter
    low = horn.amplitudes(85.0)
    assert low[1] / low[3] == pytest.approx(10 ** (-12 / 20), rel=1e-6)


def test_louder_is_brighter() -> None:
    for family in ("flute", "horn", "trumpet", "strings", "clarinet"):
        soft, loud = (spectrum(family, mark).amplitudes(220.0) for mark in ("p", "f"))
        assert loud[9] > soft[9]


def test_a_clarinet_lacks_even_partials_below_only() -> None:
    clarinet = spectrum("clarinet")
    low, high = clarinet.amplitudes(160.0), clarinet.amplitudes(600.0)
    assert low[1] < low[2]
    assert high[1] > high[2]


def test_measured_levels_replace_the_envelope(tmp_path: Path) -> None:
    lines = read_text("spectra.csv").splitlines()
    heads = lines[0].split(",")
    row = dict.fromkeys(heads, "0") | {
        "family": "mine", "dynamic": "loud", "partials_db": "0 -6 -20", "source": "measured",
    }  # fmt: skip
    path = tmp_path / "mine.csv"
    path.write_text(lines[0] + "\n" + ",".join(row[head] for head in heads), encoding="utf-8")
    (mine,) = read_spectra(path)
    levels = mine.amplitudes(200.0, 5)
    assert levels == pytest.approx([1.0, 10 ** (-6 / 20), 0.1, 0.0, 0.0])


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("family,dynamic\nmine,loud", "row 2"),
        ("family,dynamic\n", "holds no spectrum"),
    ],
)
def test_a_faulty_table_is_told(tmp_path: Path, content: str, words: str) -> None:
    path = tmp_path / "bad.csv"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(HarmonyError, match=words):
        read_spectra(path)
    with pytest.raises(HarmonyError, match="cannot be read"):
        read_spectra(tmp_path / "none.csv")


def test_unknown_names_are_told_what_there_is() -> None:
    with pytest.raises(HarmonyError, match="accepted are plain, flute"):
        spectrum("kazoo")
    with pytest.raises(HarmonyError, match="not a dynamic mark"):
        spectrum("horn", "loudly")
    with pytest.raises(HarmonyError, match="soft, medium or loud"):
        Spectrum("x", "f", 0, 0, 6)
    with pytest.raises(HarmonyError, match="below 0"):
        Spectrum("x", "soft", -1, 0, 6)


def test_horns_are_smoother_than_strings() -> None:
    horns, strings = (ensemble(name) for name in ("horn quartet", "string quartet"))
    compared = Comparison(horns.name, strings.name, hear(CHORD, horns), hear(CHORD, strings))
    assert compared.first.roughness < compared.second.roughness
    assert compared.roughness_ratio > 1
    assert (compared.first_name, compared.second_name) == ("horn quartet", "string quartet")


def test_loud_brass_is_rougher_than_soft() -> None:
    brass = ensemble("trombones and tuba")
    assert hear(CHORD, brass, "ff").roughness > hear(CHORD, brass, "pp").roughness
    doubled = [*CHORD, CHORD[0]]
    assert hear(doubled, brass).roughness == hear(CHORD, brass).roughness


def test_a_wish_for_players_knows_their_registers() -> None:
    quartet = ensemble("string quartet")
    wish = wish_for(quartet, frozenset({0, 4, 7}), bass=CHORD[0], top=None)
    assert wish.bass == 48
    assert wish.registers[0] == (36, 69)
    with pytest.raises(HarmonyError, match="out of the register of Cello, C2 to A4"):
        wish_for(quartet, frozenset({0, 4, 7}), bass=Pitch.from_text("C5"), top=None)


def test_each_note_has_a_player_of_its_own_while_there_are_enough() -> None:
    players = ensemble("trombones and tuba")
    low = [Pitch.from_text(text) for text in ("C2", "E2", "G2", "C3")]
    own = sorted(spectra_of(low, players), key=str)
    assert own == sorted((voice_spectrum(voice) for voice in players.voices), key=str)
    # Higher notes have higher players, in whatever order they are named.
    wood = ensemble("woodwind quintet")
    notes = [Pitch.from_text(text) for text in ("C6", "C3", "C5", "G3", "G4")]
    highest = max(wood.voices, key=lambda voice: voice.low.midi + voice.high.midi)
    assert spectra_of(notes, wood)[0] == voice_spectrum(highest)
    # More notes than players: each goes to the nearest register.
    assert len(spectra_of([*notes, Pitch.from_text("D4")], wood)) == 6
