"""Instruments, players and the ensembles they form.

The catalogue of what is known by name is :mod:`harmony.instruments.catalogue`.
"""

from harmony.instruments.ensemble import Ensemble, Voice
from harmony.instruments.instrument import Instrument, Player

__all__ = ["Ensemble", "Instrument", "Player", "Voice"]
