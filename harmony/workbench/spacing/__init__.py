"""Spacing against the harmonic series: seen, heard and steered by."""
