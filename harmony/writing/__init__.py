"""Writers: MusicXML, MEI, MIDI, engraving."""
