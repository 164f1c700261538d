"""The page as a process of its own: what is stopped, killed and started again in these tests is real."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

PHONE, TABLE = {"width": 390, "height": 844}, {"width": 1280, "height": 800}


def free_port() -> int:
    """A port nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


class Running:
    """``ingle serve`` on a notebook of its own."""

    def __init__(self, folder: Path):
        self.folder, self.port = folder, free_port()
        self.address = f"http://localhost:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None
        self.start()

    def start(self) -> None:
        """Begin, and wait until it answers."""
        code = "from ingle.faces.cli.main import run; run()"
        words = [sys.executable, "-c", code, "serve", "--port", str(self.port), "--notebook", str(self.folder / "kitchen.notebook")]
        with (self.folder / "serve.log").open("ab") as log:
            self.process = subprocess.Popen(words, stdout=log, stderr=log, env={**os.environ, "INGLE_WHO": ""}, cwd=self.folder)
        for _ in range(400):
            try:
                urllib.request.urlopen(f"{self.address}/static/house.css", timeout=1).close()
                return
            except OSError:
                time.sleep(0.05)
        raise AssertionError((self.folder / "serve.log").read_text())

    def sleep(self) -> None:
        """It stands still and answers nothing, as a laptop that was closed."""
        assert self.process is not None
        self.process.send_signal(signal.SIGSTOP)

    def wake(self) -> None:
        """It goes on."""
        assert self.process is not None
        self.process.send_signal(signal.SIGCONT)

    def kill(self) -> None:
        """The power is cut."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()

    def stop(self) -> None:
        """An end as by Ctrl-C."""
        assert self.process is not None
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGCONT)
            self.process.terminate()
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.kill()
