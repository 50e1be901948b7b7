"""The Jupyter server behind the desks: JupyterLab on the loopback, with a token."""

from __future__ import annotations

import secrets
from http import HTTPStatus
from http.client import HTTPConnection
from pathlib import Path
from typing import Any
from urllib.parse import quote

from jupyter_server.serverapp import list_running_servers
from jupyter_server.services.kernels.connection.channels import ZMQChannelsWebsocketConnection
from jupyterlab.labapp import LabApp
from traitlets.config import Config

LOOPBACK = "127.0.0.1"
FIRST_PORT = 8888
PORTS_TRIED = 50
ANSWERING_SECONDS = 2


class PromptConnection(ZMQChannelsWebsocketConnection):
    """A kernel connection that sends every message at once.

    The operating system otherwise holds small messages back to join them
    (Nagle's algorithm), about 40 ms for each step of a slider.
    """

    def connect(self) -> Any:
        """Connect, and ask for messages not to be held back."""
        self.websocket_handler.set_nodelay(True)
        return super().connect()


def build_server(folder: Path) -> Any:
    """Build, without starting it, the server whose root is ``folder``.

    Returns a ``jupyter_server.serverapp.ServerApp`` that listens on the loopback
    only and asks for a token made for this run.
    """
    config = Config()
    server = config.ServerApp
    server.ip = LOOPBACK
    server.port = FIRST_PORT
    server.port_retries = PORTS_TRIED
    server.root_dir = str(folder)
    server.open_browser = False
    server.allow_root = True
    server.terminals_enabled = False
    server.log_level = "ERROR"
    server.no_browser_open_file = True
    server.kernel_websocket_connection_class = PromptConnection
    # The token is set rather than left to Jupyter, which would print an address before the
    # desks are worked.
    config.IdentityProvider.token = secrets.token_hex(24)
    config.KernelManager.transport_encryption = "auto"
    config.LabApp.custom_css = True
    config.LabApp.news_url = None
    config.LabApp.check_for_updates_class = "jupyterlab.NeverCheckForUpdate"
    config.LabApp.extension_manager = "readonly"
    config.LabApp.log_level = "ERROR"
    LabApp.load_other_extensions = False
    return LabApp.initialize_server(argv=[], config=config)


def desk_address(server: Any, path: str) -> str:
    """Give the address that opens one desk by itself, token included.

    ``path`` is the desk's path below the server's root, with forward slashes.
    """
    return _address(server.port, server.identity_provider.token, path)


def find_open(folder: Path, path: str) -> str | None:
    """Give the address of a desk where a workbench is open on ``folder`` already, or None."""
    for info in list_running_servers():
        if Path(info["root_dir"]) == folder and _answers(info["port"], info["token"]):
            return _address(info["port"], info["token"], path)
    return None


def _address(port: int, token: str, path: str) -> str:
    # `reset` drops the layout that Lab remembers from the last time.
    return f"http://{LOOPBACK}:{port}/doc/tree/{quote(path)}?reset&token={token}"


def _answers(port: int, token: str) -> bool:
    """Say whether a server is really there; a computer that stopped suddenly leaves its trace."""
    line = HTTPConnection(LOOPBACK, port, timeout=ANSWERING_SECONDS)
    try:
        line.request("GET", f"/api/status?token={token}")
        return line.getresponse().status == HTTPStatus.OK
    except OSError:
        return False
    finally:
        line.close()
