"""The process that serves the pages: Streamlit's, and what pages need is imported while the browser still loads.

Without this, the first reader would wait for the imports: they run in the thread of the first page.
"""

from __future__ import annotations

import importlib
import threading

#: What takes longest to import; each brings the rest of the pages along.
_NEEDED = ("dashboard.controls", "dashboard.measures.tables", "dashboard.views.case", "dashboard.notes")


def main() -> None:
    """Run Streamlit's command line with the arguments of this process."""
    threading.Thread(target=_import_ahead, name="imports", daemon=True).start()
    from streamlit.web import cli

    cli.main()


def _import_ahead() -> None:
    for name in _NEEDED:
        importlib.import_module(name)


if __name__ == "__main__":
    main()
