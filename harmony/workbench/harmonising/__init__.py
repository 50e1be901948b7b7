"""Desk 3: several harmonisations of a melody, compared."""
