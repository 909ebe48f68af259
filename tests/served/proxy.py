"""A network between tablet and server that can be cut in the middle of a request."""

from __future__ import annotations

import contextlib
import socket
import threading

CHUNK = 4096


class Proxy:
    """Passes connections on; once armed, it cuts every request of a kind half way."""

    def __init__(self, to_port: int) -> None:
        self._to_port = to_port
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{self._listening.getsockname()[1]}"
        self._cut: tuple[bytes, int] | None = None
        self.cuts = 0
        threading.Thread(target=self._listen, daemon=True).start()

    def cut(self, start: bytes, after_bytes: int) -> None:
        """Cut each request that starts so after some bytes of it."""
        self._cut = (start, after_bytes)

    def mend(self) -> None:
        """Pass everything on again."""
        self._cut = None

    def close(self) -> None:
        """Take no more connections."""
        self._listening.close()

    def _listen(self) -> None:
        with contextlib.suppress(OSError):  # closed
            while True:
                tablet, _ = self._listening.accept()
                threading.Thread(target=self._pass_on, args=(tablet,), daemon=True).start()

    def _pass_on(self, tablet: socket.socket) -> None:
        try:
            server = socket.create_connection(("127.0.0.1", self._to_port))
        except OSError:
            tablet.close()
            return
        back = threading.Thread(target=self._answers, args=(server, tablet), daemon=True)
        back.start()
        with contextlib.suppress(OSError):
            self._requests(tablet, server)
        for each in (tablet, server):
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)
            each.close()

    def _requests(self, tablet: socket.socket, server: socket.socket) -> None:
        left: int | None = None
        while chunk := tablet.recv(CHUNK):
            if self._cut and chunk.startswith(self._cut[0]):
                left = self._cut[1]
            if left is not None and len(chunk) > left:
                server.sendall(chunk[:left])
                self.cuts += 1
                return
            if left is not None:
                left -= len(chunk)
            server.sendall(chunk)

    def _answers(self, server: socket.socket, tablet: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while chunk := server.recv(CHUNK):
                tablet.sendall(chunk)
            tablet.shutdown(socket.SHUT_RDWR)
