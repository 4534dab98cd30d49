"""A private virtual sound card: one PulseAudio per rig, with a loudspeaker and a microphone.

Two null sinks, ``speaker`` and ``mic``; the default source is ``mic.monitor``, so what a test
plays into ``mic`` is heard by whoever opens the default microphone. Everything lives in a folder
of its own: rigs run side by side, as root or not, without dbus or systemd, and touch no real
sound card. Works on Linux with pulseaudio, pulseaudio-utils and libasound2-plugins.

    with SoundRig() as rig, rig.capture() as recorder:
        subprocess.run([...], env=rig.env)
        samples = recorder.samples()
"""

from __future__ import annotations

import atexit
import os
import shutil
import signal
import subprocess
import tempfile
import threading
import time
from pathlib import Path
from types import TracebackType

import numpy as np
import numpy.typing as npt

RATE_HZ = 16_000
PROGRAMS = ("pulseaudio", "pactl", "paplay", "parec")
START_S = 10.0
"""How long the server may take to answer; usually a fifth of a second."""

# Without norewinds=1 a null sink loses or shifts what is written to it.
_SINK = "load-module module-null-sink sink_name={name} norewinds=1 rate={rate} channels=1"
_SCRIPT = """\
.fail
load-module module-native-protocol-unix auth-anonymous=1 socket={folder}/native
{speaker} format=s16le
{mic} format=s16le
set-default-sink speaker
set-default-source mic.monitor
"""
# A server whose test was killed leaves by itself once nobody has been connected for so long.
_IDLE_EXIT_S = 120


def missing_programs() -> list[str]:
    """Return those programs that the rig needs and this machine lacks."""
    return [name for name in PROGRAMS if shutil.which(name) is None]


class Recorder:
    """Collects what a source gives, on a thread of its own, from its start until ``stop``.

    Samples are mono, 16 bit, 16 kHz. Also a context manager that stops it.
    """

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self._process = process
        self._chunks: list[tuple[float, bytes]] = []
        self._first = threading.Event()
        self._thread = threading.Thread(target=self._collect, name="rig-recorder", daemon=True)
        self._thread.start()
        if not self._first.wait(START_S):
            self.stop()
            raise RuntimeError("the recorder delivered nothing; is the rig running?")

    def _collect(self) -> None:
        stdout = self._process.stdout
        if stdout is None:
            raise RuntimeError("parec was started without a pipe")
        while chunk := os.read(stdout.fileno(), 65_536):
            self._chunks.append((time.monotonic(), chunk))
            self._first.set()

    def samples(self) -> npt.NDArray[np.int16]:
        """Return all samples so far."""
        whole = b"".join(chunk for _, chunk in list(self._chunks))
        return np.frombuffer(whole[: len(whole) // 2 * 2], dtype="<i2")

    def chunks(self) -> list[tuple[float, bytes]]:
        """Return the pieces as they came: (monotonic time of arrival in seconds, PCM)."""
        return list(self._chunks)

    def stop(self) -> npt.NDArray[np.int16]:
        """End the recording and return all samples. Safe to call twice."""
        if self._process.poll() is None:
            self._process.terminate()
        self._process.wait()
        self._thread.join(START_S)
        if self._process.stdout is not None:
            self._process.stdout.close()
        return self.samples()

    def __enter__(self) -> Recorder:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()


class SoundRig:
    """The virtual sound card; ``env`` is the environment for whoever shall use it."""

    def __init__(self) -> None:
        # Short on purpose: a socket's path may have about 100 characters only.
        self.folder = Path(tempfile.mkdtemp(prefix="rig-"))
        self._server: subprocess.Popen[bytes] | None = None
        self._recorders: list[Recorder] = []
        atexit.register(self.stop)

    @property
    def env(self) -> dict[str, str]:
        """The environment in which ALSA, PortAudio and PulseAudio programs meet this rig."""
        folder = str(self.folder)
        return {
            **os.environ,
            "PULSE_SERVER": f"unix:{folder}/native",
            "PULSE_RUNTIME_PATH": folder,
            "PULSE_STATE_PATH": folder,
            "PULSE_CONFIG_PATH": folder,
            "PULSE_COOKIE": f"{folder}/cookie",
            "XDG_RUNTIME_DIR": folder,
        }

    def start(self) -> SoundRig:
        """Start the server (again, after ``kill``) and wait until it answers."""
        script = self.folder / "rig.pa"
        sinks = {name: _SINK.format(name=name, rate=RATE_HZ) for name in ("speaker", "mic")}
        script.write_text(_SCRIPT.format(folder=self.folder, **sinks), encoding="ascii")
        command = ["pulseaudio", "-n", "--daemonize=no", f"--exit-idle-time={_IDLE_EXIT_S}"]
        command += ["--use-pid-file=no", "--realtime=no", "--high-priority=no", "-F", str(script)]
        with (self.folder / "log").open("ab") as log:
            self._server = subprocess.Popen(command, env=self.env, stdout=log, stderr=log)
        give_up = time.monotonic() + START_S
        while not self._answers():
            if self._server.poll() is not None or time.monotonic() > give_up:
                told = (self.folder / "log").read_text(errors="replace")
                self.stop()
                raise RuntimeError(f"the virtual sound card did not start:\n{told}")
            time.sleep(0.02)
        return self

    def _answers(self) -> bool:
        done = subprocess.run(["pactl", "info"], env=self.env, capture_output=True, check=False)
        return done.returncode == 0

    def pactl(self, *arguments: str) -> str:
        """Run pactl against this rig and return what it prints."""
        command = ["pactl", *arguments]
        done = subprocess.run(command, env=self.env, capture_output=True, text=True, check=True)
        return done.stdout.strip()

    def play_mic(self, wav: Path | str) -> None:
        """Play a WAV file into the microphone; returns when it has been played."""
        subprocess.run(["paplay", "--device=mic", str(wav)], env=self.env, check=True)

    def capture(self, source: str = "speaker.monitor") -> Recorder:
        """Start to record what the loudspeaker plays; returns once samples arrive."""
        command = ["parec", f"--device={source}", f"--rate={RATE_HZ}", "--channels=1"]
        command += ["--format=s16le", "--raw", "--latency-msec=10"]
        process = subprocess.Popen(command, env=self.env, stdout=subprocess.PIPE)
        recorder = Recorder(process)
        self._recorders.append(recorder)
        return recorder

    def echo_path(self, delay_ms: int = 40) -> str:
        """Let the microphone hear the loudspeaker; returns the module's number for unloading."""
        return self.pactl(
            "load-module",
            "module-loopback",
            "source=speaker.monitor",
            "sink=mic",
            f"latency_msec={delay_ms}",
            "source_dont_move=1",
            "sink_dont_move=1",
        )

    def hang(self) -> None:
        """Freeze the server, as a broken driver does; ``thaw`` wakes it."""
        self._signal(signal.SIGSTOP)

    def thaw(self) -> None:
        """Wake a frozen server."""
        self._signal(signal.SIGCONT)

    def kill(self) -> None:
        """Take the sound card away without warning; ``start`` brings it back."""
        self._signal(signal.SIGKILL)
        if self._server is not None:
            self._server.wait()

    def _signal(self, number: signal.Signals) -> None:
        if self._server is not None and self._server.poll() is None:
            self._server.send_signal(number)

    def stop(self) -> None:
        """End the server and its recorders and remove their folder. Safe to call twice."""
        for recorder in self._recorders:
            recorder.stop()
        self._recorders.clear()
        self._end_server()
        shutil.rmtree(self.folder, ignore_errors=True)
        atexit.unregister(self.stop)

    def _end_server(self) -> None:
        if self._server is None or self._server.poll() is not None:
            return
        self.thaw()
        self._server.terminate()
        try:
            self._server.wait(3)
        except subprocess.TimeoutExpired:
            self.kill()

    def __enter__(self) -> SoundRig:
        return self.start()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()
