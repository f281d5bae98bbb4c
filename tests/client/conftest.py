"""What the tests of the client share: the program, run in this process, and a screen of known width."""

import pytest

from support.canned_service import Client


@pytest.fixture
def client(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Client:
    """The client's program on a page 100 columns wide."""
    monkeypatch.setenv("COLUMNS", "100")
    return Client(capsys)
