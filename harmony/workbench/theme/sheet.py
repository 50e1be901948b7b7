"""A sheet about a theme: what is there to see in it, and what it can become."""

from __future__ import annotations

from dataclasses import replace

from harmony.chords.api import parse
from harmony.pitch import Theme
from harmony.scoring import Harmony, Score, Tempo
from harmony.scoring.build import theme_to_score, theme_to_tempi
from harmony.scoring.value import duration_to_value
from harmony.themes.counterpoint import Judge
from harmony.themes.degrees import key_or_none, tell_key
from harmony.themes.faults import NUMBERS_IN_WORDS
from harmony.themes.portrait import Portrait, bars_with_notes, describe_theme
from harmony.themes.possibility import Possibility
from harmony.workbench.theme.result import possibility_to_result
from harmony.workbench.words import write_pitch, write_signs
from harmony.writing.flatten import Page
from harmony.writing.sheet import Block, Curve, Music, Words, lay_sheet

_SIZES = {"P": "perfect", "M": "major", "m": "minor", "A": "augmented", "d": "diminished"}
_CLEAR = 0.6  # a bar holds a chord from this share of its time on


def lay_theme_sheet(
    theme: Theme, possibilities: tuple[Possibility, ...], judge: Judge
) -> tuple[Page, ...]:
    """Give the sheet as A4 pages."""
    seen = describe_theme(theme)
    meter = theme.meters.changes[0][1]
    key = key_or_none(theme)
    facts = [f"{key.tonic} {key.mode}" if key else "no key", str(meter)]
    what = ", ".join([*facts, *(say_tempo(tempo) for tempo in theme_to_tempi(theme))])
    done = theme.parent[1:]
    blocks: list[Block] = [Words(theme.title or "Theme", 26, is_heading=True)]
    if done:
        blocks.append(Words(f"From {theme.parent[0]}: {', then '.join(done)}."))
    blocks += [
        Words(" ".join(filter(None, [f"{what[0].upper()}{what[1:]}.", tell_key(theme)]))),
        Music(score_with_chords(theme, seen)),
        *([Words(_explain_chords(seen), 12)] if seen.implied else ()),
        Words("Range and contour", 18, is_heading=True),
        Words(f"From {write_pitch(seen.lowest)} to {write_pitch(seen.highest)}, highest in bar"
              f" {seen.climax_bar}. The middle of each bar:"),
        Curve(seen.contour, tuple(str(bar) for bar in bars_with_notes(theme))),
        Words("Intervals and repetitions", 18, is_heading=True),
        Words(f"{say_intervals(seen)}"),
    ]  # fmt: skip
    told = [repeat.describe() for repeat in seen.repeats]
    if told:
        blocks.append(Words("; ".join([told[0][0].upper() + told[0][1:], *told[1:]]) + "."))
    if seen.outside:
        names = ", ".join(write_signs(str(name)) for name in seen.outside)
        blocks.append(Words(f"Outside the key: {names}."))
    blocks.append(Words(f"What it can become (judged: {judge})", 18, is_heading=True))
    for letter, one in zip("ABCDE", possibilities, strict=False):
        shown = possibility_to_result(one).telling_bars(2).to_score()
        blocks.append(Words(f"{letter}.  {write_signs(one.sentence)}"))
        blocks.append(Music(shown, share=0.62, is_one_line=True))
    return lay_sheet(blocks)


def say_tempo(tempo: Tempo) -> str:
    """Say a tempo: ``96 dotted quarter notes a minute``."""
    value, dots = duration_to_value(tempo.beat_quarters) or ("quarter", 0)
    beats = tempo.quarters_per_minute / float(tempo.beat_quarters)
    return f"{round(beats, 2):g} {'dotted ' * dots}{value} notes a minute"


def _explain_chords(seen: Portrait) -> str:
    said = "The chords above are those of the key that hold most of each bar"
    if any(share < _CLEAR for _, _, share in seen.implied):
        said += "; in brackets where less than three fifths of its time lies on the chord"
    return f"{said}."


def say_intervals(seen: Portrait) -> str:
    """Count the melodic intervals in words, commonest first."""
    told = []
    for name, count in seen.intervals:
        number = int(name.lstrip("PMmAd"))
        size = _SIZES[name[0]]
        word = NUMBERS_IN_WORDS[number - 1] if number <= len(NUMBERS_IN_WORDS) else f"{number}th"
        if name == "P1":
            told.append(f"{count} repeated note{'s' if count != 1 else ''}")
        else:
            told.append(f"{count} {size} {word}{'s' if count != 1 else ''}")
    said = ", ".join(told)
    return f"{said[0].upper()}{said[1:]}." if said else "No interval: a single note."


def score_with_chords(theme: Theme, seen: Portrait) -> Score:
    """Give the theme with the chord each bar implies above it."""
    key = key_or_none(theme)
    if key is None:
        return theme_to_score(theme, part_name="")
    signs = []
    last = ""
    for bar, root, share in seen.implied:
        degree = next(d for d in range(1, 8) if key.degree(d) == root)
        third, fifth = (key.degree((degree - 1 + size) % 7 + 1) for size in (2, 4))
        above = [(name.fifths - root.fifths) for name in (third, fifth)]
        quality = {(4, 1): "", (-3, 1): "m", (-3, -6): "dim", (4, 8): "aug"}.get(
            (above[0], above[1]), ""
        )
        symbol = f"{root}{quality}"
        shown = symbol if share >= _CLEAR else f"({symbol})"
        if shown != last:
            chord = parse(symbol).slots[0].chord
            signs.append(Harmony(theme.meters.bar_start(bar), chord, write_signs(shown)))
        last = shown
    return replace(theme_to_score(theme, part_name=""), harmonies=tuple(signs))
