"""Write the exports of the ten invented firms, and beside each what a right load must give.

    python tests/foreign/build.py [NAME]...

Each firm's ``make.py`` has a function ``make(folder)``. That of ``fifty_thousand`` is run by the test itself.
"""

from __future__ import annotations

import importlib.util
import shutil
import sys
from pathlib import Path

HERE = Path(__file__).parent
#: Its rows are too many to keep.
NOT_KEPT = "fifty_thousand"


def build(name: str) -> None:
    spec = importlib.util.spec_from_file_location(f"foreign_{name}", HERE / name / "make.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    shutil.rmtree(HERE / name / "export", ignore_errors=True)
    export, readme = module.make(HERE / name)
    export.write_expected(HERE / name)
    export.write_counts(HERE / name)
    (HERE / name / "README.md").write_text(readme.strip() + "\n", encoding="utf-8")


if __name__ == "__main__":
    for each in sys.argv[1:] or sorted(path.parent.name for path in HERE.glob("*/make.py")):
        if each != NOT_KEPT:
            build(each)
