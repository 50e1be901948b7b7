"""Reading the checked data files."""

from harmony.tables.reading import read_rows, read_text, read_toml

__all__ = ["read_rows", "read_text", "read_toml"]
