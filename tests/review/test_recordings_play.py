"""A browser plays what the page holds."""

from __future__ import annotations

import re
import shutil
import subprocess
from datetime import datetime, timezone

import pytest
from support.records import scribe

from assistant.review.page import write_page

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
PROBE = """<script>
const player = document.querySelector("audio");
player.addEventListener("loadedmetadata", () => {
  player.muted = true;
  player.play().then(() => { document.title = "plays " + player.duration; });
});
</script></body>"""


@pytest.mark.skipif(BROWSER is None, reason="no browser is installed here")
def test_browser_plays_a_recording(tmp_path):
    """The recording of a width starts and has its whole length, from the page alone."""
    with scribe(tmp_path) as made:
        made.begin()
        clip = made.record.keep_clip(bytes(range(200)) * 160, 16_000)
        made.judged("fail", made.value("width", "half an inch", "1/2", clip=clip))
    page = tmp_path / "page.html"
    write_page(tmp_path, page, datetime(2026, 5, 5, tzinfo=timezone.utc))
    text = page.read_text(encoding="utf-8").replace("</body>", PROBE)
    # The page itself lets no script run; this one only asks whether the sound is one.
    text = text.replace("default-src 'none';", "default-src 'none'; script-src 'unsafe-inline';", 1)
    page.write_text(text, encoding="utf-8")
    options = ["--headless", "--no-sandbox", "--disable-gpu", "--virtual-time-budget=10000"]
    options += [f"--user-data-dir={tmp_path / 'browser'}"]
    shown = subprocess.run(
        [str(BROWSER), *options, "--autoplay-policy=no-user-gesture-required", "--dump-dom",
         page.as_uri()],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    title = re.search("<title>([^<]*)", shown.stdout)

    assert title is not None
    assert title[1] == "plays 1"
