"""The program's door: runs the command line and turns errors into one clear line each."""

from __future__ import annotations

import gc
import os
import sys

from diagnose.errors import DiagnoseError


def collect_seldom() -> None:
    """Look through what has lived long a hundredth as often as usual.

    Rules and tables are some hundred thousand objects that stay until the end; walking them
    makes one answer in twenty slow (0.3 s with ten times the knowledge).
    """
    young, middle, _ = gc.get_threshold()
    gc.set_threshold(young, middle, 1000)


def main() -> None:
    """Run ``diagnose``; exit codes as printed by ``diagnose --help``."""
    collect_seldom()
    if sys.stdin is None:  # closed by whoever started it: nobody is there to type anything
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115  (read until the end)
    try:
        from diagnose.cli.main import app

        app()
    except DiagnoseError as error:
        print(error, file=sys.stderr)
        raise SystemExit(error.exit_code) from None
    except KeyboardInterrupt:
        raise SystemExit(130) from None
    except SystemExit as left:
        if isinstance(left.__context__, BrokenPipeError):
            # the reader went away (a pager, head); nothing is wrong here
            raise SystemExit(0) from None
        raise
    except Exception as error:  # the last resort: a person gets a line, not a traceback
        if os.environ.get("DIAGNOSE_TRACE"):
            raise
        print(_told(error), file=sys.stderr)
        raise SystemExit(2 if isinstance(error, OSError) else 1) from None


def _told(error: Exception) -> str:
    """Return one line for what nobody foresaw where it arose: a full disk, or a mistake of ours."""
    if isinstance(error, OSError):
        where = error.filename or "the output"
        why = f"{where} cannot be read or written: {error.strerror}"
        return f"{why}. Mend that, then run it again; nothing confirmed was lost."
    return (
        f"diagnose failed unexpectedly: {type(error).__name__}: {error}. "
        "Nothing confirmed was lost. Set DIAGNOSE_TRACE=1 and run it again to see where."
    )


if __name__ == "__main__":
    main()
