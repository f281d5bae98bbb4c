"""Write every farm folder of the project again, as an export would: after a column, a file or an order of rows changed.

    python tests/support/fixtures_again.py

What is written is what the reader understood, so look at the difference before it is kept.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.farm_folder.reader import read_folder
from haulm.farm_folder.writer import folder_texts
from support.project_tree import ROOT


def main() -> None:
    """Name each file that is another now."""
    for folder in sorted(path.parent for path in (ROOT / "fixtures").glob("*/farm.toml")):
        before = {path.name: path.read_bytes() for path in folder.iterdir()}
        for name, text in folder_texts(read_folder(folder)).items():
            if before.get(name) != text:
                (folder / name).write_bytes(text)
                sys.stdout.write(f"{folder.relative_to(ROOT) / name}\n")


if __name__ == "__main__":
    main()
