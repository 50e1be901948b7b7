"""The screens: small widgets, the desks built from them, and the launcher of JupyterLab."""
