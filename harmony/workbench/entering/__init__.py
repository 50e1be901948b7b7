"""Playing in: what is played is spelled by key, named, written into a text or a melody."""
