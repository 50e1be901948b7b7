"""JupyterLab as the desks' frame: its look, its server, the desks run in it."""
