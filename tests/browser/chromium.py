"""Debian's Chromium, driven by Playwright: where it is, how it is started, and what is done where it is missing."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.installed import told_once_installed

INSTALLED = "CHROMIUM_INSTALLED"
"""Set by `.ci/run` to a file that is there once Chromium is, or could not be had, and says how that went."""


@contextmanager
def chromium() -> Iterator[Browser]:
    """Start a browser without a window; WebGL is computed by the processor.

    Raises
    ------
    AssertionError
        If there is none and `.ci/run` said that there must be one; elsewhere the test is skipped, loudly.
    """
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program(), args=_arguments())
        try:
            yield browser
        finally:
            browser.close()


def program() -> str:
    """Return where Chromium is; skips the test, loudly, or fails it where it is not."""
    told = told_once_installed(INSTALLED)
    found = shutil.which("chromium")
    if found is None and told is not None:
        raise AssertionError(f"Chromium could not be installed, so nothing of the page was tested in a browser:\n{told}")
    if found is None:
        pytest.skip("CHROMIUM IS NOT INSTALLED: nothing of the page was tested in a browser (apt-get install chromium)")
    return found


def _arguments() -> list[str]:
    root = ["--no-sandbox"] if os.geteuid() == 0 else []  # it refuses to run as root otherwise
    return [*root, "--disable-gpu", "--enable-unsafe-swiftshader", "--disable-dev-shm-usage"]
