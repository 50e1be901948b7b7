"""The grammar of a progression typed in a box or kept in a text file.

``D: I V6 | ii65 b3 V7 | Dmaj7 A/C# | {C2 G2 E3} % |`` and so on: bars of chords,
each chord in the notation it is written in.
"""

from __future__ import annotations

from fractions import Fraction

from harmony.chords.bars import Bar, Event, lay_out
from harmony.chords.chord import Chord
from harmony.chords.progression import Progression
from harmony.chords.tokens import Token, column_at, tokenize
from harmony.chords.words import WordReader
from harmony.errors import HarmonyError, TextError
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter
from harmony.pitch.spelling import PitchName

COMMON_TIME = Meter((4,), 4)

#: A typed progression beyond this is a slip (a file pasted by mistake).
MOST_BARS = 100_000
LONGEST_WORD = 120


def read_progression(
    text: str, *, key: Key | None = None, meter: Meter | None = None
) -> Progression:
    """Read a progression.

    Parameters
    ----------
    text
        Bars of chords as :func:`harmony.parse` takes them.
    key, meter
        What holds until the text says otherwise; the meter is 4/4 if neither says.

    Raises
    ------
    TextError
        With the stretch that cannot be read and what is accepted there.
    """
    reader = Reader(text, key, meter or COMMON_TIME)
    for token in tokenize(text):
        reader.take(token)
    return reader.finish()


def read_beat(text: str) -> Fraction:
    """Read a beat mark: ``b3``, ``b2.5``, ``b2.33`` (two and a third), ``b7/3``."""
    digits = text[1:].rstrip(":")
    if "/" in digits or "." not in digits:
        return Fraction(digits)
    exact = Fraction(digits)
    # 2.33 and 2.667 stand for thirds, 2.5 and 2.125 for themselves.
    return exact if exact.denominator in (1, 2, 4, 8, 16, 32) else exact.limit_denominator(12)


class Reader:
    """Reads token after token into bars."""

    def __init__(self, text: str, key: Key | None, meter: Meter, *, first_bar: int = 1) -> None:
        self.text = text
        self.key = key
        self.meter = meter
        self.bars: list[Bar] = []
        self.bar = Bar(first_bar, meter)
        self.beat: tuple[Fraction, Token] | None = None
        self.pedals: list[tuple[PitchName, bool, Token]] = []
        self.words = WordReader(text)
        self.is_begun = False  # something stands in the bar, if only a key
        self.over: Token | None = None
        self.first_bar_is_open = True
        self.phrase_mark: Token | None = None

    def fault(
        self, message: str, start: int, end: int, bar: int | None = None, *,
        expected: str = "", suggestion: str | None = None,
    ) -> TextError:  # fmt: skip
        """Make an error that points into the text."""
        number = self.bar.number if bar is None else bar
        return TextError(
            message, text=self.text, start=start, end=end, expected=expected,
            suggestion=suggestion, where=f"bar {number}, column {column_at(self.text, start)}",
        )  # fmt: skip

    def take(self, token: Token) -> None:
        """Take the next token."""
        if self.phrase_mark is not None:
            self._settle_phrase_mark(token)
        getattr(self, f"_take_{token.kind}")(token)

    def _settle_phrase_mark(self, token: Token) -> None:
        """Decide what a ``||`` was: within a bar a phrase mark, else a bar line.

        Analysts write ``I || b3 ii`` for a phrase that ends in mid-bar; on a
        chart ``||`` closes a section and with it the bar.
        """
        mark, self.phrase_mark = self.phrase_mark, None
        assert mark is not None
        is_inside = token.kind == "beat" and read_beat(token.text) > 1 and self.bar.events
        if not is_inside:
            self._close_bar(mark)

    def _take_line(self, token: Token) -> None:
        """End the bar with the line, unless a bar line has just ended it."""
        if self.pedals and not self.is_begun:
            return
        if (self.is_begun and self.bar.events) or self.bar.repeats:
            self._close_bar(token)

    def _take_bar(self, token: Token) -> None:
        if "||" in token.text:
            self.phrase_mark = token
        elif self.is_begun or (self.bars and not self._after_line_break(token)):
            self._close_bar(token)

    def _after_line_break(self, token: Token) -> bool:
        """Say whether only blanks stand before this bar line in its line."""
        line = self.text.rfind("\n", 0, token.start) + 1
        return not self.text[line : token.start].strip() and line > 0

    def _close_bar(self, token: Token) -> None:
        self._refuse_loose_ends()
        if not self.bars and self.first_bar_is_open and not (self.bar.events or self.bar.repeats):
            return  # a line before the first chord opens the first bar: D: |: I
        self._note_pickup()
        self.bars.append(self.bar)
        if len(self.bars) > MOST_BARS:
            raise self.fault("The text has more bars than any piece.", token.start, token.end)
        self.bar = Bar(self.bar.number + 1, self.meter)
        self.is_begun = False

    def _note_pickup(self) -> None:
        """Call the first bar 0 where its first chord enters after the first beat."""
        events = self.bar.events
        if not self.bars and self.bar.number == 1 and self.first_bar_is_open and events:
            beat = events[0].beat
            if beat is not None and beat > 1:
                self.bar.number = 0

    def _refuse_loose_ends(self) -> None:
        if self.beat is not None:
            mark = self.beat[1]
            raise self.fault(
                f"After {mark.text!r} a chord is missing; {mark.text} V7 is accepted.",
                mark.start, mark.end, expected="a chord",
            )  # fmt: skip
        if self.over is not None:
            raise self.fault(
                "After 'over' a chord is missing; D over C is accepted.",
                self.over.start, self.over.end, expected="a chord symbol or a numeral",
            )  # fmt: skip

    def _take_number(self, token: Token) -> None:
        number = int(token.text[1:])
        last = self.bars[-1].number if self.bars else -1
        if self.bar.events or not last < number <= MOST_BARS:
            raise self.fault(
                f"{token.text!r} cannot stand here; a bar number opens a bar and is higher than"
                f" the one before ({last}).",
                token.start, token.end, expected="a higher bar number at the head of a bar",
            )  # fmt: skip
        self.bar.number = number
        self.first_bar_is_open = False
        self.is_begun = True

    def _take_meter(self, token: Token) -> None:
        if self.bar.events:
            raise self.fault(
                f"The meter {token.text} stands inside bar {self.bar.number}; it is accepted at"
                " the head of a bar.",
                token.start, token.end, expected="a meter at the head of a bar",
            )  # fmt: skip
        try:
            self.meter = Meter.from_text(token.text)
        except HarmonyError as wrong:
            raise self.fault(wrong.message, token.start, token.end) from wrong
        self.bar.meter = self.meter
        self.is_begun = True

    def _take_key(self, token: Token) -> None:
        self.key = self.words.read_key(token.text, token.start)
        self.is_begun = True

    def _take_beat(self, token: Token) -> None:
        if self.beat is not None:
            self._refuse_loose_ends()
        self.beat = read_beat(token.text), token
        self.is_begun = True

    def _take_pedal(self, token: Token) -> None:
        words = token.text.rstrip("[").replace(":", " ").split()
        above = words[-1] == "above"
        try:
            name = PitchName.from_text(words[1])
        except HarmonyError as wrong:
            place = token.start + token.text.index(words[1])
            raise self.fault(wrong.message, place, place + len(words[1])) from wrong
        self.pedals.append((name, above, token))

    def _take_close(self, token: Token) -> None:
        if not self.pedals:
            raise self.fault(
                "The ']' closes nothing; it is accepted after pedal D [ ... or a change such as"
                " [no5].",
                token.start, token.end, expected="a pedal or a change opened before it",
            )  # fmt: skip
        self._refuse_loose_ends()
        self.pedals.pop()

    def _take_repeat(self, token: Token) -> None:
        self.bar.repeats = True
        self.bar.span = (token.start, token.end)
        self.is_begun = True

    def _take_slash(self, token: Token) -> None:
        self._add(self._make(None, (token.start, token.end), is_hold=True))

    def _take_over(self, token: Token) -> None:
        events = self.bar.events
        if not events or events[-1].chord is None or self.over is not None:
            raise self.fault(
                "Before 'over' a chord is missing; D over C is accepted.",
                token.start, token.end, expected="a chord before over",
            )  # fmt: skip
        self.over = token

    def _take_brace(self, token: Token) -> None:
        chord = self.words.read_sonority(token.text, token.start, self.bar.number)
        self._add(self._make(chord, (token.start, token.end)))

    def _take_doubt(self, token: Token) -> None:
        """Pass over signs of doubt and brackets around passing chords: no pitch in them."""

    def _take_word(self, token: Token) -> None:
        if len(token.text) > LONGEST_WORD:
            raise self.fault(
                f"The word that begins {token.text[:20]!r} is too long for a chord; bars by | and"
                " chords by blanks are accepted.",
                token.start, token.end, expected="chords with blanks between them",
            )  # fmt: skip
        for chord, start, end in self.words.read_chords(token, self.key, self.bar.number):
            self._add(self._make(chord, (start, end)))

    def _make(self, chord: Chord | None, span: tuple[int, int], *, is_hold: bool = False) -> Event:
        """Make an event at the beat and under the pedal that hold here."""
        beat = None
        if self.beat is not None and self.over is None:
            beat, self.beat = self.beat[0], None
        pedal, above = self.pedals[-1][:2] if self.pedals else (None, False)
        return Event(self.key, chord, span, beat, is_hold, pedal, above)

    def _add(self, event: Event) -> None:
        self.is_begun = True
        if self.over is not None:
            self._join_over(event)
            return
        self.bar.events.append(event)

    def _join_over(self, event: Event) -> None:
        self.over = None
        upper = self.bar.events[-1]
        if event.chord is None or upper.chord is None:
            raise self.fault("'over' joins two chords; D over C is accepted.", *event.span)
        chord = self.words.join(upper.chord, event.chord)
        span = (upper.span[0], event.span[1])
        self.bar.events[-1] = upper._replace(chord=chord, span=span)

    def finish(self) -> Progression:
        """Close the last bar and lay everything out in time."""
        end = Token("line", "", len(self.text), len(self.text))
        if self.phrase_mark is not None:
            self._settle_phrase_mark(end)
        self._refuse_loose_ends()
        if self.pedals:
            token = self.pedals[-1][2]
            raise self.fault(
                "The pedal is not closed; ']' is accepted after its last chord.",
                token.start, token.end, expected="]",
            )  # fmt: skip
        if self.bar.events or self.bar.repeats:
            self._close_bar(end)
        if not any(bar.events or bar.repeats for bar in self.bars):
            raise self.fault(
                "The text has no chord; D: I V6 | ii65 V7 | I or Dm7 G7 | C is accepted.",
                0, max(len(self.text), 1), 1, expected="at least one chord",
            )  # fmt: skip
        return lay_out(self.bars, self.text, self.fault)
