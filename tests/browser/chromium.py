"""The browser the tests drive, and the two screens it has."""

from __future__ import annotations

import shutil

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""In a closed network; CI runs as root, where Chromium has no sandbox of its own."""
PHONE, TABLE = (390, 844), (1280, 800)
