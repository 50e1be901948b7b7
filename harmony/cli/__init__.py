"""The command line: one module a command, over the same functions Python has."""
