"""The sketchbook: keeps that are never half-written and never overwritten."""

from harmony.sketchbook.record import Record, read_record
from harmony.sketchbook.sketchbook import Keep, Sketchbook

__all__ = ["Keep", "Record", "Sketchbook", "read_record"]
