"""Uploaded files from the moment they come until they are loaded or taken back: one object that a session holds."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from dashboard.uploads import toml
from dashboard.uploads.asking import Loaded, NotDone, Tried, load, look
from dashboard.uploads.folder import Folder
from dashboard.uploads.layout_form import Tree, with_unread
from dashboard.uploads.questions import Question, questions

_WITHOUT = "Mend the layout, or take it out: one is then proposed for these files."
_MADE_BY = "A layout: how such files map to the input table of Evenhand. Written on its page Data."


@dataclass(frozen=True)
class Work:
    """Files that lie in a folder, and what is known of them.

    Attributes
    ----------
    tree
        The layout as far as it is settled; None where the files need none.
    text
        The same as its file: as it was given as long as nothing in it was changed.
    """

    folder: Folder
    tried: Tried
    tree: Tree | None
    text: str

    @property
    def questions(self) -> list[Question]:
        return [] if self.tree is None else questions(self.tree, self.tried)

    def changed(self, tree: Tree) -> Work:
        """The work with another layout, tried on the files.

        Raises
        ------
        NotDone
            Where it cannot be used, or a file cannot be read by it any more; the work is as it was.
        """
        if tree == self.tree:
            return self
        new = _with(self.folder, toml.written(tree, _MADE_BY))
        readable = {file.name for file in self.tried.readable}
        lost = [file for file in new.tried.files_of("unreadable") if file.name in readable]
        if lost:
            raise NotDone(f"{lost[0].name}: {lost[0].problem}.", "So nothing was changed.")
        return new

    def load(self, warehouse: Path) -> Loaded:
        """Load the files into a warehouse and remove them; where nothing could be loaded they stay.

        Raises
        ------
        NotDone
        """
        mend = bool(self.tried.files_of("mended"))
        found = load(self.folder, warehouse, None if self.tree is None else self.text, mend)
        self.folder.close()
        return found


def begin(uploaded: Sequence[tuple[str, bytes]], now: datetime) -> Work:
    """Put uploaded files, names with contents, into a folder and look at them; a layout among them is used.

    Raises
    ------
    NotDone
        Where they hold nothing that can be read; they are removed again.
    """
    layouts = [(name, content) for name, content in uploaded if name.lower().endswith(".toml")]
    files = [(name, content) for name, content in uploaded if not name.lower().endswith(".toml")]
    if len(layouts) > 1:
        raise NotDone("More than one layout came with these files.", "Add the one that fits them, and no other.")
    if not files:
        raise NotDone("A layout alone says nothing.", "Add the files that it is for.")
    text = _decoded(*layouts[0]) if layouts else None
    folder = Folder(files, now)
    try:
        return _with(folder, text)
    except NotDone as error:
        folder.close()
        raise NotDone(error.sentence, error.next_step or (_WITHOUT if text is not None else "")) from None
    except BaseException:
        folder.close()
        raise


def _decoded(name: str, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NotDone(f"{name} is not text in UTF-8.", "Save it as UTF-8, or leave it out.") from None


def _with(folder: Folder, text: str | None) -> Work:
    """The work with a layout, or one that is suggested; words of the files that it does not know are asked."""
    tried = look(folder, text)
    if not tried.layout:
        return Work(folder, tried, None, "")
    work = Work(folder, tried, tomllib.loads(tried.layout), tried.layout)
    if not tried.unread or work.tree is None:
        return work
    tree = with_unread(work.tree, tried)
    text = toml.written(tree, _MADE_BY)
    return replace(work, tried=look(folder, text), tree=tree, text=text)
