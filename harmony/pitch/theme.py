"""Themes: a line with its meters, key, phrases and origin."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.line import Line
from harmony.pitch.meter import MeterMap


@dataclass(frozen=True, slots=True)
class Theme:
    """A melody as the composer thinks of it.

    ``key`` is None while nobody has said; ``phrase_ends`` are the times in
    quarters at which phrases end; ``source`` says where the theme is from and
    ``parent`` (source text of the theme it was made from, and by which
    operations) how it was derived. ``quarters_per_minute`` is None without a
    tempo. Time 0 is the first instant, pickup included.
    """

    line: Line
    meters: MeterMap
    key: Key | None = None
    phrase_ends: tuple[Fraction, ...] = ()
    source: str = ""
    parent: tuple[str, ...] = ()
    title: str = ""
    quarters_per_minute: float | None = None

    def __post_init__(self) -> None:
        if not self.line.sounding:
            raise HarmonyError("A theme needs at least one note; this one has only rests.")
        if list(self.phrase_ends) != sorted(set(self.phrase_ends)):
            raise HarmonyError("Phrase ends must be given once each, in order of time.")

    @property
    def pickup(self) -> Fraction:
        """The length of the pickup in quarters, 0 without one."""
        return self.meters.pickup
