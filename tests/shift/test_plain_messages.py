"""What is missing or broken is told in plain words, with what to do, and a non-zero exit."""

from __future__ import annotations

import resource
import subprocess
import sys
from pathlib import Path

import pytest
from support.short_strip import CHECKLIST

import assistant.mouth.spoken
from assistant.cli import main
from assistant.mouth.voice import Voice

ROOT = Path(__file__).parents[2]


@pytest.fixture
def checklist(tmp_path: Path) -> Path:
    """A good checklist in a folder of its own."""
    path = tmp_path / "short-strip.yaml"
    path.write_text(CHECKLIST, encoding="utf-8")
    return path


def run(*arguments: str, env: dict[str, str], file_bytes: int | None = None) -> tuple[int, str]:
    """Run the command line in a process; return its exit code and what it told on stderr."""

    def limit() -> None:
        if file_bytes is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (file_bytes, file_bytes))

    done = subprocess.run(
        [sys.executable, "-m", "assistant", *arguments],
        env={"PATH": "/usr/bin:/bin", "HOME": env.get("LAPCALL_DATA", "/"), **env},
        cwd=ROOT,
        input="seam twelve\nyes\nready\nyes\ndone\n",
        capture_output=True,
        text=True,
        preexec_fn=limit,
        check=False,
    )
    return done.returncode, done.stderr


def test_no_microphone_is_told(checklist: Path) -> None:
    """Without any sound device `work` says to plug in a headset, and leaves."""
    folder = str(checklist.parent)
    env = {"PULSE_SERVER": "unix:/nowhere", "LAPCALL_DATA": folder, "LAPCALL_CACHE": folder}
    code, told = run("work", str(checklist), env=env)

    assert code == 4
    assert "No microphone" in told
    assert "headset" in told
    assert "Traceback" not in told


def test_no_loudspeaker_is_told(checklist: Path) -> None:
    """Without any sound device a rehearsal that should speak aloud says so, and leaves."""
    folder = str(checklist.parent)
    env = {"PULSE_SERVER": "unix:/nowhere", "LAPCALL_DATA": folder, "LAPCALL_CACHE": folder}
    code, told = run("rehearse", "--aloud", str(checklist), env=env)

    assert code == 4
    assert "loudspeaker" in told.lower()
    assert "Traceback" not in told


def test_no_speech_engine_is_told(
    checklist: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A speech engine that makes no sound ends the run with what to install."""
    silent = (sys.executable, "-c", "raise SystemExit('no espeak')")
    monkeypatch.setattr(assistant.mouth.spoken, "Voice", lambda: Voice(command=silent))
    monkeypatch.setenv("LAPCALL_CACHE", str(checklist.parent / "cache"))
    monkeypatch.setenv("LAPCALL_DATA", str(checklist.parent))
    monkeypatch.setattr("sys.stdin", iter(["seam twelve"]))

    assert main(["rehearse", "--aloud", str(checklist)]) == 5
    assert "espeak-ng" in capsys.readouterr().err


def test_no_model_is_told(checklist: Path) -> None:
    """Without its model `hear` says where a model should be."""
    folder = checklist.parent
    (folder / "checklists").mkdir()
    wav = str(ROOT / "demo" / "audio" / "first-yes.wav")
    code, told = run(
        "hear", wav, "--step", f"{checklist}/roller", env={"LAPCALL_HOME": str(folder)}
    )

    assert code == 6
    assert "model" in told
    assert "Traceback" not in told


def test_a_broken_checklist_is_told(checklist: Path) -> None:
    """A checklist with a fault is refused with file, line and what to write instead."""
    checklist.write_text(CHECKLIST.replace("least: 1 in", "least: 2 in"), encoding="utf-8")
    code, told = run("rehearse", str(checklist), env={"LAPCALL_DATA": str(checklist.parent)})

    assert code == 3
    assert "short-strip.yaml, line 4" in told
    assert "Write" in told


def test_a_full_disk_is_told_and_keeps_what_was_confirmed(checklist: Path) -> None:
    """When the record cannot grow any more, Lapcall says so and leaves; whole lines remain."""
    record = str(checklist.parent / "record")
    env = {"LAPCALL_DATA": str(checklist.parent), "PYTHONDONTWRITEBYTECODE": "1"}
    code, told = run("rehearse", str(checklist), "--record", record, env=env, file_bytes=1500)

    assert code == 7
    assert "Traceback" not in told
    assert "room" in told or "written" in told
    verified, _ = run("verify", "--record", record, env=env)
    assert verified == 0


def test_a_record_in_use_is_told(checklist: Path) -> None:
    """A second Lapcall on the same record leaves the first alone."""
    record = str(checklist.parent / "record")
    env = {"LAPCALL_DATA": str(checklist.parent)}
    command = [sys.executable, "-m", "assistant", "rehearse", str(checklist), "--record", record]
    with subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as first:
        if first.stdout is None or first.stdin is None:
            raise RuntimeError("no pipes")
        assert "Which seam?" in first.stdout.readline()
        code, told = run("rehearse", str(checklist), "--record", record, env=env)
        first.stdin.close()

    assert code == 7
    assert "Traceback" not in told
