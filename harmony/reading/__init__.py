"""Readers: MusicXML, MIDI, ABC and kern to the score model."""
