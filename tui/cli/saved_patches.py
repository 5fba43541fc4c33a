"""The patches that were saved in a room, for commands that ask what a change of its wiring does to them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from model.patches.saved_patch import SavedPatch
from model.patches.shelf import SHELF
from model.record.faults import CannotKeep, NotThisOne
from model.record.room_file import RoomFile
from model.text.clean import shown
from tui.cli.run_sheet import session_as_recorded
from tui.cli.status import say


def saved_patches(file: RoomFile, logbook: Path | None) -> Mapping[str, SavedPatch]:
    """The room's saved patches, where it has a record; none, and why said, where that cannot be read."""
    try:
        session = session_as_recorded(file, logbook)
    except (CannotKeep, NotThisOne, OSError, ValueError) as problem:
        say(shown(f"saved patches were not looked at: {problem}"))
        return {}
    return {name: written.patch for name, written in session.get(SHELF).patches.items()}
