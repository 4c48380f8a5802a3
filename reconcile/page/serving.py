"""Start the page on this machine and stop it: by its button, by Ctrl-C, or when the system asks."""

import gc
import socket
import threading
from collections.abc import Callable
from contextlib import suppress

from reconcile.page.app import made_app
from reconcile.page.asked import PageDesk, with_accepted
from reconcile.page.doors import HOST, Keys
from reconcile.page.kept import KeptPlan
from reconcile.sheets.request import Request

BACKLOG = 64


def serve(request: Request, port: int, opened: Callable[[str], None]) -> None:
    """Serves the workshop of ``request`` until it is stopped; ``opened`` is told the address once it answers.

    ``port``: 0 takes a free one. Bound to the loopback address, and to no other. Raises OSError where the
    port is taken.
    """
    import uvicorn

    gc.enable()  # a command ends soon and keeps its garbage; this does not
    # By the protocol's own name: only then does the event loop send small answers at once.
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP) as listening:
        listening.bind((HOST, port))
        listening.listen(BACKLOG)
        keys = Keys(listening.getsockname()[1])
        stopping = Stopping()
        desk = PageDesk(request, keys, KeptPlan(request, with_accepted), stopping.stop)
        config = uvicorn.Config(
            made_app(desk), log_level="error", access_log=False, server_header=False, lifespan="off",
            ws="none", timeout_graceful_shutdown=3, timeout_keep_alive=30,
            h11_max_incomplete_event_size=65_536,
        )  # fmt: skip
        server = uvicorn.Server(config)
        stopping.ends = lambda: setattr(server, "should_exit", True)
        threading.Thread(target=_when_ready, args=(server, keys.address, opened), daemon=True).start()
        with suppress(KeyboardInterrupt):
            server.run([listening])


class Stopping:
    """What the button does: the answer to it is sent before the end."""

    def __init__(self) -> None:
        self.ends: Callable[[], object] = lambda: None

    def stop(self) -> None:
        threading.Timer(0.3, self.ends).start()


def _when_ready(server: "object", address: str, opened: Callable[[str], None]) -> None:
    import time

    while not getattr(server, "started", False):
        if getattr(server, "should_exit", False):
            return
        time.sleep(0.02)
    opened(address)
