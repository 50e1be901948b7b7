"""What is said when something the composer gave cannot be used.

One root, :class:`HarmonyError`; every message is one plain sentence saying what
is wrong, where, and what would be accepted.
"""

from __future__ import annotations

import re

# What is quoted at such length without a space is no word, number or path of anybody's.
_ENDLESS = re.compile(r"(\S{60})\S{180,}(\S{20})")
_LINE_BREAKS = re.compile(r"\s*[\n\r\v\f\x1c-\x1e\x85\u2028\u2029]\s*")


class HarmonyError(ValueError):
    """Input that cannot be used, told in one sentence.

    ``message`` is the sentence; ``where`` names the place in the composer's
    terms ("bar 3 beat 2", "column 14", "row 7 of instruments.csv") or is None.
    """

    def __init__(self, message: str, *, where: str | None = None) -> None:
        # What is quoted from the composer may hold line breaks; the sentence stays on one.
        message = _ENDLESS.sub(r"\1 ... \2", _LINE_BREAKS.sub(" ", message))
        super().__init__(message)
        self.message = message
        self.where = where

    def to_json(self) -> dict[str, dict[str, str | None]]:
        """Give the error object that commands print with ``--json``."""
        return {"error": {"message": self.message, "where": self.where}}


def reason_of(fault: OSError | ValueError) -> str:
    """Say why the computer refused a file, to stand inside a sentence: permission denied."""
    return (getattr(fault, "strerror", None) or str(fault)).lower()


class TextError(HarmonyError):
    """A stretch of typed text that cannot be read.

    ``text`` is the whole text, ``start`` and ``end`` the bad stretch in
    characters, ``expected`` what would be accepted there, ``suggestion`` a near
    reading or None.
    """

    def __init__(
        self,
        message: str,
        *,
        text: str,
        start: int,
        end: int,
        expected: str = "",
        suggestion: str | None = None,
        where: str | None = None,
    ) -> None:
        super().__init__(message, where=where)
        self.text = text
        self.start = start
        self.end = max(end, start + 1)
        self.expected = expected
        self.suggestion = suggestion

    def marked(self) -> str:
        """Show the line of the bad stretch with a mark under it."""
        first = self.text.rfind("\n", 0, self.start) + 1
        last = self.text.find("\n", self.start)
        line = self.text[first : last if last >= 0 else len(self.text)]
        width = max(1, min(self.end, first + len(line)) - self.start)
        return f"{line}\n{' ' * (self.start - first)}{'^' * width}"


class NoSolutionError(HarmonyError):
    """A problem that no voicing or harmonisation satisfies.

    ``rule``, ``chord`` and ``voice`` name what emptied the choice; ``relax``
    says what to give up so that a solution exists. Each may be None.
    """

    def __init__(
        self,
        message: str,
        *,
        rule: str | None = None,
        chord: str | None = None,
        voice: str | None = None,
        relax: str | None = None,
        where: str | None = None,
    ) -> None:
        super().__init__(message, where=where)
        self.rule = rule
        self.chord = chord
        self.voice = voice
        self.relax = relax
