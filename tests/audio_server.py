"""A real audio server for the tests: PulseAudio with one silent output, whose sound can be recorded again."""

from __future__ import annotations

import contextlib
import os
import subprocess
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

RATE = 48_000
SINK = "quiet"
ASOUNDRC = "pcm.!default { type pulse }\nctl.!default { type pulse }\n"
PATIENCE_S = 30.0


@dataclass
class AudioServer:
    """`environment` leads programs started with it to this server and to no other."""

    environment: dict[str, str]
    process: subprocess.Popen[bytes]

    @contextlib.contextmanager
    def recorded(self, path: Path) -> Iterator[None]:
        """Writes what sounds meanwhile to `path`: mono float32 samples at `RATE`."""
        with path.open("wb") as file:
            recorder = subprocess.Popen(
                ["parec", f"--device={SINK}.monitor", "--format=float32le", f"--rate={RATE}", "--channels=1", "--raw",
                 "--latency-msec=50"],
                stdout=file, env=self.environment,
            )
            try:
                _wait(lambda: path.stat().st_size > 0)
                yield
                time.sleep(0.5)
            finally:
                recorder.terminate()
                recorder.wait()

    def stop(self) -> None:
        """Ends the server, as a crash would."""
        self.process.kill()
        self.process.wait()


def environment(home: Path, socket: Path) -> dict[str, str]:
    """Variables under which the default audio device is the server at `socket`, whatever this computer has."""
    (home / ".asoundrc").write_text(ASOUNDRC, encoding="utf-8")
    return {**os.environ, "HOME": str(home), "XDG_RUNTIME_DIR": str(home), "PULSE_SERVER": f"unix:{socket}"}


@contextlib.contextmanager
def running(home: Path) -> Iterator[AudioServer]:
    """The server, its files in `home`."""
    home.chmod(0o700)
    socket = home / "pulse.sock"
    variables = environment(home, socket)
    process = subprocess.Popen(
        ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--disallow-exit=no", "--use-pid-file=no",
         "-L", f"module-native-protocol-unix auth-anonymous=1 socket={socket}",
         "-L", f"module-null-sink sink_name={SINK} rate={RATE} channels=1"],
        env={k: v for k, v in variables.items() if k != "PULSE_SERVER"}, stderr=subprocess.DEVNULL,
    )
    server = AudioServer(variables, process)
    try:
        _wait(lambda: _answers(variables))
        yield server
    finally:
        server.stop()


def _answers(variables: dict[str, str]) -> bool:
    return subprocess.run(["pactl", "info"], env=variables, capture_output=True, check=False).returncode == 0


def _wait(ready: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE_S
    while not ready():
        if time.monotonic() > end:
            raise TimeoutError("the audio server did not start")
        time.sleep(0.05)


def samples(path: Path) -> npt.NDArray[np.float32]:
    """What was recorded to `path`."""
    return np.fromfile(path, np.float32)
