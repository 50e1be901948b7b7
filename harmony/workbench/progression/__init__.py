"""Desk 1: a progression voiced for players."""
