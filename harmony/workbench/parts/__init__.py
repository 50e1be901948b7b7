"""Small widgets, each a script and a style sheet of its own; nothing is built or fetched."""
