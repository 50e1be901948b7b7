"""What the learnt terms charge, in a composer's words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harmony.voicings.candidates import Voicings
from harmony.voicings.costs import TERM_NAMES, Item
from harmony.voicings.costs.motion import describe_move
from harmony.voicings.learnt_chorale import usual_heights
from harmony.voicings.sonority import ROLE_WORDS, Member
from harmony.voicings.steps import Steps
from harmony.voicings.words import count_words, interval_words, list_words, with_article

_BY_PAIR = frozenset({"consecutive_perfects", "direct_perfects", "overlap", "spacing"})
_NEAR_USUAL = 3
"""Semitones from a voice's commonest height within which it is neither high nor low."""
_PERFECTS = {"consecutive_perfects": "consecutive", "direct_perfects": "direct"}


@dataclass(frozen=True, slots=True)
class Teller:
    """Finds the words for what a voicing, and the step to it, is charged.

    `plain` are the items of the usual terms, whose words are taken where they fit.
    """

    here: Voicings
    steps: Steps | None
    plain: Sequence[Sequence[Item]]

    def subject(self, term: str, voices: tuple[int, ...]) -> tuple[int, ...]:
        """Say which voices an entry is put down to: one, a pair, or all together."""
        if len(voices) == 1 or (len(voices) == 2 and term in _BY_PAIR):
            return voices
        if term == "top_line":
            return (self.here.pitches.shape[1] - 1,)
        return tuple(range(self.here.pitches.shape[1]))

    def tell(self, term: str, voices: tuple[int, ...]) -> str:
        """Tell the charge; ``{0}``, ``{1}`` stand for the voices' names."""
        if term == "register":
            return self._tell_height(voices[0])
        if term == "spacing":
            return self._tell_gap(voices)
        if term == "doubling":
            return self._tell_doubling()
        if term == "completeness":
            return self._tell_missing()
        if term == "resolution" and len(voices) == 1:
            return self._usual_words(term, voices) or self._tell_lead(voices[0])
        if term in _PERFECTS:
            return self._usual_words(term, voices) or self._tell_perfect(term, voices)
        if term == "overlap":
            return self._usual_words(term, voices) or "{0} and {1} overlap"
        return self._tell_move(term, voices)

    def _usual_words(self, term: str, voices: tuple[int, ...]) -> str | None:
        found = self.plain[TERM_NAMES.index(term)]
        for item in found:
            if item.voices == voices:
                return item.words
            if item.voices == voices[::-1]:
                return item.words.replace("{0}", "{x}").replace("{1}", "{0}").replace("{x}", "{1}")
        return None

    def _move(self, voice: int) -> int:
        return 0 if self.steps is None else int(self.steps.moves[voice, 0, 0])

    def _tell_move(self, term: str, voices: tuple[int, ...]) -> str:
        if len(voices) > 1:
            moves = [self._move(voice) for voice in voices]
            distance = count_words(sum(map(abs, moves)), "semitone")
            return f"the voices together move {distance}, {_tell_directions(moves)}"
        move = self._move(voices[0])
        told = describe_move(move) if move else ""
        if term == "common_tones":
            return "{0} leaves a note the next chord has"
        if term == "top_line":
            return f"{{0}} on top moves {told}" if move else "{0} on top repeats its note"
        verb = "leaps" if term == "leaps" else "moves"
        return f"{{0}} {verb} {told}" if move else "{0} stays on its note"

    def _tell_perfect(self, term: str, voices: tuple[int, ...]) -> str:
        low, high = voices
        gap = int(self.here.pitches[0, high] - self.here.pitches[0, low])
        name = "unison" if not gap else "fifth" if gap % 12 else "octave"
        many = "s" if term == "consecutive_perfects" else ""
        return f"{_PERFECTS[term]} {name}{many} between {{1}} and {{0}}"

    def _tell_height(self, voice: int) -> str:
        midi = int(self.here.pitches[0, voice])
        above = midi - usual_heights()[voice]
        where = "high, " if above > _NEAR_USUAL else "low, " if above < -_NEAR_USUAL else ""
        member = self._member(self.here, voice)
        octave = (midi - member.name.alter) // 12 - 1
        return f"{{0}} lies {where}at {member.name}{octave}"

    def _tell_gap(self, voices: tuple[int, ...]) -> str:
        if len(voices) > 2:
            width = _tell_width(int(self.here.pitches[0, -1] - self.here.pitches[0, 0]))
            return f"the arrangement of the chord within {width}"
        low, high = voices
        gap = int(self.here.pitches[0, high] - self.here.pitches[0, low])
        if not gap:
            return "{1} and {0} in unison"
        side = "above" if gap > 0 else "below"
        return f"{{1}} stands {_tell_width(gap)} {side} {{0}}"

    def _tell_doubling(self) -> str:
        members, counts = self.here.sonority.members, self.here.counts[0]
        doubled = [
            ("leading tone" if member.pull > 0 else ROLE_WORDS[member.role], str(member.name))
            for member, count in zip(members, counts, strict=True)
            if count > 1
        ]
        if not doubled:
            return "nothing is doubled"
        named = list_words([f"the {kind} {name}" for kind, name in doubled])
        return f"{named} {'are' if len(doubled) > 1 else 'is'} doubled"

    def _tell_missing(self) -> str:
        sonority = self.here.sonority
        missing = [
            f"the {ROLE_WORDS[member.role]} {member.name}"
            for number, member in enumerate(sonority.members)
            if not self.here.presence[0, number]
        ]
        verb = "are" if len(missing) > 1 else "is"
        return f"{list_words(missing)} {verb} left out" if missing else "the chord has no fifth"

    def _tell_lead(self, voice: int) -> str:
        if self.steps is None:
            return "where {0} leads"
        old, new = (self._member(side, voice) for side in (self.steps.before, self.here))
        arrival = f"the {ROLE_WORDS[new.role]} {new.name}"
        if not self._move(voice):
            return f"{{0}} keeps {old.name}, now {arrival.replace(f' {new.name}', '')}"
        return f"{{0}} goes from the {ROLE_WORDS[old.role]} {old.name} to {arrival}"

    @staticmethod
    def _member(voicings: Voicings, voice: int) -> Member:
        return voicings.sonority.members[int(voicings.members[0, voice])]


def _tell_width(semitones: int) -> str:
    words = interval_words(semitones)
    return words if " and " in words or "octaves" in words else with_article(words)


def _tell_directions(moves: Sequence[int]) -> str:
    up, down = (sum(move * sign > 0 for move in moves) for sign in (1, -1))
    told = [f"{count} {way}" for count, way in ((up, "up"), (down, "down")) if count]
    stay = len(moves) - up - down
    if stay:
        told.append(f"{stay} staying")
    return list_words(told)
