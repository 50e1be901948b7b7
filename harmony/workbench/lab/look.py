"""Lab set up as the desks' frame, apart from any Jupyter settings a person has of their own."""

from __future__ import annotations

import os
import tempfile
from importlib.resources import files
from pathlib import Path

from harmony.errors import HarmonyError
from harmony.saving import save_bytes

#: what the files of appearance/ become in Lab's configuration folder
_PLACES = {
    "overrides.json": Path("labconfig", "default_setting_overrides.json"),
    "page_config.json": Path("labconfig", "page_config.json"),
    "custom.css": Path("custom", "custom.css"),
    "kernel.json": Path("ipython", "profile_default", "ipython_kernel_config.json"),
}
_OWN_FOLDER = "harmony-workbench"


def settle_environment() -> Path:
    """Point Jupyter at a configuration folder of our own and give its path.

    Called before anything of Jupyter is imported, since Jupyter reads its places
    from the environment when imported. The data folder stays Jupyter's (there the
    key lies that signs notebooks), unless it cannot be written to.
    """
    from jupyter_core.paths import jupyter_data_dir

    data = Path(jupyter_data_dir())
    try:
        config = _write_look(data / _OWN_FOLDER)
    except (OSError, HarmonyError):
        data = Path(tempfile.mkdtemp(prefix=f"{_OWN_FOLDER}-"))
        os.environ["JUPYTER_DATA_DIR"] = str(data)
        config = _write_look(data / _OWN_FOLDER)
    os.environ["JUPYTER_CONFIG_DIR"] = str(config)
    # Settings of other Jupyter programs on this machine would change the look or the token.
    os.environ["JUPYTER_PREFER_ENV_PATH"] = "1"
    # A desk imports what is installed, never a Python file that lies beside it in the sketchbook.
    os.environ["PYTHONSAFEPATH"] = "1"
    os.environ["IPYTHONDIR"] = str(config / "ipython")
    # The servers told of there are ours alone.
    os.environ["JUPYTER_RUNTIME_DIR"] = str(config / "runtime")
    return config


def _write_look(config: Path) -> Path:
    shipped = files("harmony.workbench.lab").joinpath("appearance")
    for name, place in _PLACES.items():
        target = config / place
        target.parent.mkdir(parents=True, exist_ok=True)
        save_bytes(target, shipped.joinpath(name).read_bytes(), overwrite=True)
    return config
