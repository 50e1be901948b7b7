"""Scripts that rebuild the learnt tables of harmony/data/learnt from the music21 corpus."""
