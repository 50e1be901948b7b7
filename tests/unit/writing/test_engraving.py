"""Pictures: loaded without a warning, traceable note by note, right without any font."""

from __future__ import annotations

import re
import zlib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
import verovio
from hypothesis import HealthCheck, Phase, given, settings

from harmony.chords.leadsheet import read_symbol
from harmony.chords.roman import read_numeral
from harmony.errors import HarmonyError
from harmony.pitch import Key, MeterMap, Pitch
from harmony.scoring import Event, Harmony, Part, Score, Staff, Tempo, event_of_id
from harmony.voicings.api import voice
from harmony.writing import engraving
from harmony.writing.engraving import PAPER, engrave, engrave_evenly
from harmony.writing.flatten import Page, flatten
from harmony.writing.mei import write_mei
from harmony.writing.paper import engrave_pages, save_picture, write_pdf, write_png
from harmony.writing.symbol import engrave_symbol, split_numeral
from tests.unit.writing.random_scores import scores


def small_score() -> Score:
    events = [
        Event(Fraction(i), Fraction(1), (Pitch.from_text(name),), id=f"s{i}")
        for i, name in enumerate(("C4", "F#4", "Bb4", "C5"))
    ]
    third = (Pitch.from_text("E4"), Pitch.from_text("G4"))
    events.append(Event(Fraction(4), Fraction(6), third, id="s4"))
    harmonies = (
        Harmony(Fraction(0), read_symbol("Bb7b9/Ab"), "Bb7b9/Ab"),
        Harmony(Fraction(4), read_numeral("viio65/V", Key.from_text("C")), "", "viio65/V"),
    )
    return Score(
        (Part("Viola", (Staff(tuple(events)),)),),
        MeterMap.steady("4/4"),
        (Tempo(Fraction(0), 72.0, "Lento"),),
        harmonies,
    )


def test_random_scores_load_from_mei_without_a_warning(capfd: pytest.CaptureFixture[str]) -> None:
    logs = set()

    @settings(
        max_examples=20,
        phases=[Phase.explicit, Phase.reuse, Phase.generate],
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
    @given(scores())
    def check(score: Score) -> None:
        capfd.readouterr()
        verovio.enableLog(verovio.LOG_WARNING)
        toolkit = verovio.toolkit()
        assert toolkit.loadData(write_mei(score))
        toolkit.renderToSVG(1)
        verovio.enableLog(verovio.LOG_OFF)
        logs.add("".join(capfd.readouterr()))

    check()
    assert logs == {""}


def test_every_drawn_note_leads_back_to_its_event() -> None:
    svg = engrave(small_score()).svg
    drawn = re.findall(r'data-id="([^"]+)" data-class="note"', svg) or re.findall(
        r'data-class="note"[^>]*data-id="([^"]+)"', svg
    )
    # The last chord is tied over a bar line: two notes, three bars.
    assert len(drawn) == 4 + 2 * 2
    assert {event_of_id(name) for name in drawn} == {"s0", "s1", "s2", "s3", "s4"}


def test_worker_threads_draw_the_same_picture() -> None:
    score = small_score()

    def notes(svg: str) -> int:
        return svg.count('data-class="note"')

    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda _: notes(engrave(score).svg), range(4)))
    assert found == [notes(engrave(score).svg)] * 4


def test_a_score_that_cannot_be_engraved_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engraving, "write_mei", lambda *_, **__: "<mei>broken")
    with pytest.raises(HarmonyError, match="cannot be engraved"):
        engrave(small_score())


def test_accidentals_in_text_are_musical_signs() -> None:
    svg = engrave(small_score()).svg
    assert "B♭7♭9/A♭" in re.sub(r"<[^>]*>", "", svg)
    without = Score(small_score().parts, small_score().meters, harmonies=small_score().harmonies)
    assert "Leipzig" not in engrave(without).svg
    assert engrave_symbol("F#m7b5") == "F♯m7♭5"
    assert split_numeral("bII6") == [("♭II", False), ("6", True)]


def test_pages_are_plain_shapes_with_text_outlined() -> None:
    (page,) = engrave_pages(small_score())
    svg = page.to_svg()
    assert not re.search(r"<(text|style|use|svg[^>]*><svg)", svg)
    # The metronome's note and the flats of the chord name have outlines of their own.
    without = engrave_pages(Score(small_score().parts, small_score().meters))[0]
    letters = len("Lento(=72)") + 1 + len("B♭7♭9/A♭") + len("F#dim7/A") + len("vii°65/V")
    assert len(page.shapes) == len(without.shapes) + letters


def test_png_and_pdf_are_made_without_system_libraries(tmp_path: Path) -> None:
    pages = engrave_pages(small_score())
    png = write_png(pages[0], dots_per_inch=50)
    assert png.startswith(b"\x89PNG")
    assert int.from_bytes(png[16:20], "big") == round(210 / 25.4 * 50)
    pdf = write_pdf(pages, title="Lento")
    assert pdf.startswith(b"%PDF")
    assert b"/Font" not in pdf.replace(b"/Font <<>>", b"")
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    drawn = b"".join(zlib.decompress(stream) for stream in streams)
    assert drawn.count(b" c") > 200  # curves of clef, noteheads, letters
    # The picture fills the sheet: its units are not taken for points.
    assert b"/MediaBox [0 0 595.28 841.89]" in pdf
    shrunk = re.search(rb" q (0\.\d+) 0 0 \1 0 ", drawn)
    assert shrunk is not None
    assert float(shrunk[1]) * pages[0].width == pytest.approx(595.28, abs=0.1)
    saved = save_picture(small_score(), tmp_path / "lento.svg")
    assert [path.name for path in saved] == ["lento.svg"]
    with pytest.raises(HarmonyError, match="already there"):
        save_picture(small_score(), tmp_path / "lento.svg")
    with pytest.raises(HarmonyError, match="no picture"):
        save_picture(small_score(), tmp_path / "lento.bmp")


def test_an_orchestra_fits_on_the_page() -> None:
    """The more staves, the smaller: nothing reaches into the margins of 15 mm."""
    tune = small_score().parts[0]
    for count in (1, 5, 14, 20):
        parts = tuple(replace(tune, name=f"Part {number + 1}") for number in range(count))
        (page,) = engrave_pages(Score(parts, small_score().meters))
        unit = page.width / 210  # a millimetre
        lines = [s for s in page.shapes if re.fullmatch(r"M\S+ \S+ L\S+ \S+", s.path)]
        ends = [tuple(map(float, re.findall(r"-?\d+", s.path))) for s in lines]
        heights = [shape.matrix.d * y + shape.matrix.f
                   for shape, (_, first, _, second) in zip(lines, ends, strict=True)
                   for y in (first, second)]  # fmt: skip
        assert len(lines) >= 5 * count
        assert 14 * unit < min(heights)
        assert max(heights) < 283 * unit


def test_bars_stay_on_their_lines_of_music_where_that_is_asked_for() -> None:
    events = tuple(
        Event(Fraction(4 * bar), Fraction(4), (Pitch.from_text("C4"),), id=f"s{bar}")
        for bar in range(40)
    )
    score = Score((Part("Viola", (Staff(events),)),), meters=MeterMap.steady("4/4"))
    free = engrave(score)
    assert len(free.lines) > 1
    kept = engrave(score, lines=(7, 11, 30))
    assert kept.lines == (7, 11, 30)
    assert engrave(score, lines=free.lines).lines == free.lines


def test_a_title_stands_at_the_head_of_the_first_page() -> None:
    (plain,) = engrave_pages(small_score())
    (titled,) = engrave_pages(replace(small_score(), title="Lento"))
    assert len(titled.shapes) - len(plain.shapes) == len("Lento")


def count_uprights(page: Page) -> int:
    """Count stems, bar lines and the line before a system."""
    return sum(bool(re.fullmatch(r"M(\S+) \S+ L\1 \S+", shape.path)) for shape in page.shapes)


def test_three_voices_of_one_hand_are_drawn_as_chords() -> None:
    played = voice("D: I IV | V7 I", "piano").to_score(1)
    assert len({event.voice for event in played.parts[0].staves[0].events}) == 3
    (page,) = engrave_pages(played)
    as_voices = flatten(engrave(played, layout=PAPER).pages[0])
    assert count_uprights(as_voices) - count_uprights(page) == 4 * 2  # two stems less a chord


def test_voices_that_do_not_move_together_stay_voices() -> None:
    long, short = Fraction(4), Fraction(2)
    c, e, g = (Pitch.from_text(name) for name in ("C4", "E4", "G4"))
    events = (
        Event(Fraction(0), short, (g,)), Event(Fraction(0), long, (e,), 2),
        Event(Fraction(0), short, (c,), 3), Event(short, short, (g,)), Event(short, short, (c,), 3),
    )  # fmt: skip
    score = Score((Part("Piano", (Staff(events),)),), MeterMap.steady("4/4"))
    (page,) = engrave_pages(score)
    as_voices = flatten(engrave(score, layout=PAPER).pages[0])
    assert count_uprights(as_voices) == count_uprights(page)


def test_bars_are_shared_out_where_the_last_line_would_have_one_or_two() -> None:
    score = voice("C: " + " | ".join(["I V"] * 17), "string quartet").to_score()
    met = 0
    for width in range(1200, 3000, 200):
        plain = engrave(score, pageWidth=width)
        even = engrave_evenly(score, pageWidth=width)
        counts = count_bars(plain.lines, 17)
        if counts[-1] >= 0.55 * sum(counts[:-1]) / (len(counts) - 1):
            assert even.lines == plain.lines
            continue
        met += 1
        shared = count_bars(even.lines, 17)
        assert len(shared) == len(counts)
        assert sum(shared) == 17
        assert shared[:-4] == counts[:-4]
        assert max(shared[-4:]) - min(shared[-4:]) <= 2
        assert engrave_evenly(score, pageWidth=width, lines=even.lines).lines == even.lines
    assert met


def count_bars(lines: tuple[int, ...], bars: int) -> list[int]:
    return [end - start for start, end in pairwise((0, *lines, bars))]
