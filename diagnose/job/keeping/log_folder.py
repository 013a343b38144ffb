"""A folder of logs in the user's data folder: what they are called, and which there are."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

import platformdirs

from diagnose.errors import UsageError
from diagnose.kept import APP


class LogFolder:
    """Logs of one kind in ``home``, each a file named after its day and a running number."""

    def __init__(self, folder: str, called: str, home: Path | None = None) -> None:
        """Use ``home``, else DIAGNOSE_HOME, else the user's data folder; ``called``: a log."""
        told = os.environ.get("DIAGNOSE_HOME")
        self.home = home or (Path(told) if told else Path(platformdirs.user_data_dir(APP)))
        self.folder = self.home / folder
        self._called = called

    def new_id(self, day: str) -> str:
        """Return a free id, the day and a running number: ``2026-11-25-01``.

        Raises:
            UsageError: If nothing can be kept in the folder, or the day is full.
        """
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            for number in range(1, 1000):
                name = f"{day}-{number:02}"
                with suppress(FileExistsError):
                    # made exclusively, so that two sessions never share a log
                    self.path(name).open("xb").close()
                    return name
        except OSError as error:
            raise self._not_kept(error.strerror) from None
        raise UsageError(
            f"more than 999 {self._called}s on {day}; set DIAGNOSE_HOME to another folder."
        )

    def path(self, name: str) -> Path:
        """Return the log file called ``name``."""
        return self.folder / f"{name}.jsonl"

    def find(self, name: str) -> Path:
        """Return the log of an existing ``name``.

        Raises:
            UsageError: If there is none; names the ones there are.
        """
        ids = self.ids()
        if name not in ids:
            there = ", ".join(ids[-8:]) or "none yet"
            raise UsageError(
                f"there is no {self._called} '{name}'. {self._called.capitalize()}s: {there}. "
                f"See `diagnose {self._called} list`."
            )
        return self.path(name)

    def ids(self) -> list[str]:
        """Return what there is, oldest first.

        Raises:
            UsageError: If it is a file that is named as the folder.
        """
        if self.home.is_file():
            raise self._not_kept("Not a directory")
        return sorted(p.stem for p in self.folder.glob("*.jsonl") if p.is_file())

    def _not_kept(self, why: str | None) -> UsageError:
        return UsageError(
            f"no {self._called} can be kept in {self.folder} ({why}); name a folder you may write "
            "to with DIAGNOSE_HOME."
        )
