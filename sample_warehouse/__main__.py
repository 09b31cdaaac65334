"""``python -m sample_warehouse DIR [--reports N] [--seed S]``: write the invented firm's files into a folder."""

from __future__ import annotations

import argparse
from pathlib import Path

from sample_warehouse.generate import write_firm


def main() -> None:
    """Read the arguments, write the files, print their names."""
    parser = argparse.ArgumentParser(prog="python -m sample_warehouse", description=__doc__)
    parser.add_argument("directory", type=Path, metavar="DIR")
    parser.add_argument("--reports", type=int, metavar="N")
    parser.add_argument("--seed", type=int, metavar="S")
    given = parser.parse_args()
    for path in write_firm(given.directory, given.reports, given.seed):
        print(path)


if __name__ == "__main__":
    main()
