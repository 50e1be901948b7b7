"""Instruments, players and the ensembles they form."""

from harmony.instruments.ensemble import Ensemble, Voice
from harmony.instruments.instrument import Instrument, Player

__all__ = ["Ensemble", "Instrument", "Player", "Voice"]
