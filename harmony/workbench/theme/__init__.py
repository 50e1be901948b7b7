"""Desk 2: what a theme can become."""
