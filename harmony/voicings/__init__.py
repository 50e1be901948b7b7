"""Voicing: chords laid out for players at the least cost, proven."""

from __future__ import annotations

from harmony.voicings.change import change_cost
from harmony.voicings.presets import load_preset, preset_names
from harmony.voicings.problem import Problem
from harmony.voicings.realisation import Charge, Realisation
from harmony.voicings.result import Voiced
from harmony.voicings.rules import KeepsShape, NoConsecutivePerfects, RuleSet, WholeChords

__all__ = [
    "Charge",
    "KeepsShape",
    "NoConsecutivePerfects",
    "Problem",
    "Realisation",
    "RuleSet",
    "Voiced",
    "WholeChords",
    "change_cost",
    "load_preset",
    "preset_names",
]
