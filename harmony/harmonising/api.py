"""``harmony.harmonise``: from a theme to several harmonisations."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from math import inf
from numbers import Real
from pathlib import Path

from harmony.errors import HarmonyError
from harmony.harmonising.alternatives import find_alternatives
from harmony.harmonising.cadences import ask_for, read_cadences
from harmony.harmonising.change import Stretch, find_changing, read_changes
from harmony.harmonising.costs import TERM_NAMES
from harmony.harmonising.fixing import Fixed, read_fixed
from harmony.harmonising.found import to_harmonisation
from harmony.harmonising.grounds import plan_ground
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.harmonising.idiom import Idiom
from harmony.harmonising.keyless import is_no_key, leave_out_keys, weigh_without_key
from harmony.harmonising.melody import Melody, analyse
from harmony.harmonising.spans import Span, is_hymn_like, plan_spans
from harmony.pitch.key import Key
from harmony.pitch.theme import Theme
from harmony.units import as_quarters

MOST_ALTERNATIVES = 12


def read_weights(weights: Mapping[str, float] | None) -> dict[str, float]:
    """Check weights of costs: known names, numbers from 0 up.

    Raises
    ------
    HarmonyError
        For another name or a number below 0.
    """
    for name, value in (weights or {}).items():
        if name not in TERM_NAMES:
            raise HarmonyError(
                f"{name!r} is no cost of a harmonisation; known are {', '.join(TERM_NAMES)}.",
                where="weights",
            )
        if not isinstance(value, Real) or not 0 <= value < inf:
            raise HarmonyError(
                f"The weight {value!r} of {name!r} is not a number from 0 up.", where="weights"
            )
    return {name: float(value) for name, value in (weights or {}).items()}


def check_count(count: int) -> None:
    """Refuse a number of alternatives that is not offered."""
    if not isinstance(count, int) or not 1 <= count <= MOST_ALTERNATIVES:
        raise HarmonyError(f"{count} alternatives are not offered; 1 to {MOST_ALTERNATIVES} are.")


def share_out(count: int, idioms: int) -> list[int]:
    """How many of so many alternatives each idiom has, the first ones more.

    >>> share_out(5, 2)
    [3, 2]
    """
    return [count // idioms + (number < count % idioms) for number in range(idioms)]


def read_melody(
    theme: Theme,
    *,
    key: Key | str | None = None,
    phrase_ends: Iterable[Fraction | int | float] | None = None,
) -> Melody:
    """Analyse a tune in a key and with phrase ends (in quarters), each found if left out.

    Raises
    ------
    HarmonyError
        For a tune without notes, a key that is none, or an end outside the tune.
    """
    given = Key.from_text(key) if isinstance(key, str) else key
    ends = None if phrase_ends is None else tuple(sorted(as_quarters(end) for end in phrase_ends))
    melody = analyse(theme, key=given, phrase_ends=ends)
    first, last = melody.notes[0].onset, melody.end
    for end in ends or ():
        if not first < end <= last:
            raise HarmonyError(
                f"No phrase can end at quarter {float(end):g}; the tune lasts from quarter"
                f" {float(first):g} to {float(last):g}.",
                where="phrase ends",
            )
    return melody


def harmonise(
    theme: Theme | Melody | str | Path,
    *,
    idioms: Sequence[str] | str = ("common-practice",),
    count: int = 5,
    key: Key | str | None = None,
    phrase_ends: Iterable[Fraction | int | float] | None = None,
    fixed: str | Iterable[str | Fixed] = (),
    spans: Sequence[Span] | None = None,
    pace: str = "usual",
    weights: Mapping[str, float] | None = None,
    notices: Sequence[str] = (),
    cadences: Sequence[str | None] | None = None,
) -> Harmonisations:
    """Harmonise a theme in several ways, each with an idea of its own.

    Parameters
    ----------
    theme
        The melody: a Theme, or the path of a score whose first part it is; or a
        Melody, analysed and corrected already, for which neither ``key`` nor
        ``phrase_ends`` is given.
    idioms
        Names of idioms: ``common-practice``, ``modal``, ``romantic``,
        ``third-relations``, ``extended``, ``quartal``, ``parallel``, ``pedal``,
        ``ostinato``, or ``own: Dm7 G7 ...`` with the composer's chords. With
        several the alternatives are shared out among them. An idiom may change at a
        bar: ``"modal, from bar 9 quartal"``.
    count
        How many alternatives, 1 to 12.
    key
        The key, such as ``"D"``, ``"d"`` or ``"D dorian"``; found if left out. ``"none"``
        leaves the melody without one (see :mod:`harmony.harmonising.keyless`).
    phrase_ends
        Times in quarters at which phrases end; found if left out.
    fixed
        Chords fixed (``"3.1=V6"``) or forbidden (``"3.1!=V6"``) at places.
    spans
        The harmonic rhythm; planned if left out. ``pace`` says how quick the
        plan is: ``usual``, ``slow`` or ``beats``.
    weights
        Weights of costs (names in :data:`harmony.harmonising.costs.TERM_NAMES`) in place
        of the idiom's own.
    notices
        Sentences to be handed on with the answer; what a score read here leaves out of
        its tune is added.
    cadences
        For each phrase ``full``, ``half``, ``evaded``, ``elided`` or ``plagal``, or None
        where any will do (see :mod:`harmony.harmonising.cadences`).

    Returns
    -------
    Harmonisations
        Best first; ``.to_json()``, ``.to_musicxml(path, alternative)``,
        ``.to_frame(alternative)``.

    Raises
    ------
    HarmonyError
        In one sentence, with the place, where something cannot be used.
    """
    if isinstance(theme, Melody) and (key is not None or phrase_ends is not None):
        raise HarmonyError("A melody already analysed has its key and phrase ends; give neither.")
    tune, left_out = _open(theme)
    names = _read_idioms(idioms)
    check_count(count)
    asked = read_weights(weights)
    is_keyless = is_no_key(key)
    if is_keyless:
        key, asked = None, weigh_without_key(names, asked)
    melody = (
        tune if isinstance(tune, Melody) else read_melody(tune, key=key, phrase_ends=phrase_ends)
    )
    held = read_fixed(fixed, melody)
    closes = None if cadences is None else read_cadences(cadences, melody)
    planned = plan_spans(melody, pace=pace) if spans is None else tuple(spans)
    if not planned:
        raise HarmonyError("The harmonic rhythm given has no stretch; one or more are accepted.")
    question = _Question(melody, planned, pace, spans is None, held, asked, closes)
    chosen = [read_changes(name, melody) for name in dict.fromkeys(names)]
    found: list[Harmonisation] = []
    for stretches, share in zip(chosen, share_out(count, len(chosen)), strict=True):
        if share:
            found += question.answer(stretches, share)
    if len(chosen) == len(chosen[0]) == 1:
        planned = question.rhythm_in(chosen[0][0].idiom)
    answer = Harmonisations(melody, planned, tuple(found), held, asked, (*notices, *left_out))
    return leave_out_keys(answer) if is_keyless else answer


@dataclass(frozen=True, slots=True)
class _Question:
    """What is asked in every idiom alike: of which tune, in which rhythm, held to what.

    ``is_planned`` says that the harmonic rhythm is ours, so that an idiom which has one of
    its own may take that.
    """

    melody: Melody
    spans: tuple[Span, ...]
    pace: str
    is_planned: bool
    fixed: tuple[Fixed, ...]
    weights: Mapping[str, float]
    cadences: tuple[str | None, ...] | None

    def answer(self, stretches: Sequence[Stretch], count: int) -> list[Harmonisation]:
        """Find ``count`` harmonisations in one idiom, or in those it changes between."""
        if self.cadences is not None:
            _refuse_cadences(stretches)
        if len(stretches) > 1:
            return find_changing(
                self.melody, stretches, self.spans, count, self.fixed, self.weights,
                is_planned=self.is_planned,
            )  # fmt: skip
        idiom = stretches[0].idiom
        ways = find_alternatives(
            self.melody, idiom, self.rhythm_in(idiom), count, self.fixed, weights=self.weights,
            adapt=None if self.cadences is None else partial(ask_for, kinds=self.cadences),
        )  # fmt: skip
        return [to_harmonisation(one) for one in ways]

    def rhythm_in(self, idiom: Idiom) -> tuple[Span, ...]:
        """Give the harmonic rhythm of an idiom that has one of its own, else the usual one."""
        if not self.is_planned:
            return self.spans
        if idiom.engine == "parallel":
            return plan_spans(self.melody, pace="beats")
        if self.pace == "usual":
            under_hymns = idiom.table.get("pace_under_hymns")
            if under_hymns is not None and is_hymn_like(self.melody):
                return plan_spans(self.melody, pace=under_hymns)
            if idiom.engine == "ostinato":
                return plan_ground(self.melody)
        return self.spans


def _refuse_cadences(stretches: Sequence[Stretch]) -> None:
    """Refuse to ask cadences of an idiom that changes, or has none."""
    if len(stretches) > 1 or stretches[0].idiom.hangs_from_tune:
        raise HarmonyError(
            f"The idiom {stretches[0].idiom.name!r} closes by other means than these cadences;"
            " ask for them in one of the other idioms.",
            where="cadences",
        )


def _open(theme: Theme | Melody | str | Path) -> tuple[Theme | Melody, tuple[str, ...]]:
    """Read the tune of a score, and tell what of the score is left out of it."""
    if isinstance(theme, Theme | Melody):
        return theme, ()
    from harmony.reading.opening import read
    from harmony.reading.theme import score_to_theme, tell_what_is_left

    score = read(theme)
    return score_to_theme(score), tuple(tell_what_is_left(score))


def _read_idioms(idioms: Sequence[str] | str) -> tuple[str, ...]:
    names = (idioms,) if isinstance(idioms, str) else tuple(idioms)
    if not names:
        raise HarmonyError("No idiom is named; 'common-practice' is one.")
    return names
