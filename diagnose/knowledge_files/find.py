"""Where the knowledge and the cases are: a folder named, the one shipped, or the checkout's."""

from __future__ import annotations

from pathlib import Path

import diagnose
from diagnose.errors import UsageError


def find_knowledge(explicit: Path | None = None) -> Path:
    """Return the knowledge folder; one named is taken, or refused, but never passed over.

    Raises:
        UsageError: If there is none.
    """
    return _find("knowledge", explicit, holds="words.yaml")


def find_cases(explicit: Path | None = None) -> Path:
    """Return the folder of cases, found as ``find_knowledge`` finds its own.

    Raises:
        UsageError: If there is none.
    """
    return _find("cases", explicit, holds="")


def case_folders(knowledge: Path, explicit: Path | None = None) -> tuple[Path, ...]:
    """Return the folders of cases that go with a knowledge folder, later ones first to be heard.

    The shipped cases, and those in ``cases`` beside a folder of one's own: they add to the shipped
    ones, and one of the same name takes its place.  A folder named is alone.

    Raises:
        UsageError: If there is none.
    """
    if explicit is not None:
        return (find_cases(explicit),)
    shipped, beside = find_cases(), knowledge.resolve().parent / "cases"
    own = beside.is_dir() and beside != shipped.resolve()
    return (shipped, beside) if own else (shipped,)


def _find(name: str, explicit: Path | None, *, holds: str) -> Path:
    if explicit is not None:
        if explicit.is_dir() and (not holds or (explicit / holds).is_file()):
            return explicit
        if explicit.is_dir():
            inside = explicit / name
            near = f"; did you mean '{inside}'?" if (inside / holds).is_file() else "; name another"
            raise UsageError(f"'{explicit}' is no {name} folder: it has no {holds}{near}")
        raise UsageError(f"no {name} folder at '{explicit}'; name a folder that exists")
    package = Path(diagnose.__file__).parent
    # an installed package carries its own; beside a checkout the working copy is meant
    places = (package / "shipped" / name, package.parent / name)
    for place in places:
        if place.is_dir() and (not holds or (place / holds).is_file()):
            return place
    looked = " nor ".join(f"'{place}'" for place in places)
    raise UsageError(f"no {name} folder: neither {looked}; name one with --{name}")
