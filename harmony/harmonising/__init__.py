"""Harmonising melodies: analysis, idioms, the learnt syntax, the exact chain, ideas."""
