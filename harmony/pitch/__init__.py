"""Spelled pitches, intervals, keys, meters, notes, lines and themes."""

from harmony.pitch.interval import Interval, transpose
from harmony.pitch.key import Key
from harmony.pitch.line import Line
from harmony.pitch.meter import Meter, MeterMap
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch, PitchName
from harmony.pitch.theme import Theme

__all__ = [
    "Interval",
    "Key",
    "Line",
    "Meter",
    "MeterMap",
    "Note",
    "Pitch",
    "PitchName",
    "Theme",
    "transpose",
]
