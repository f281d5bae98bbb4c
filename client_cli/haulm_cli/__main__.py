"""Lets `python -m haulm_cli` stand for `haulm`."""

from __future__ import annotations

from haulm_cli.program import main

if __name__ == "__main__":
    raise SystemExit(main())
