"""The program's door: runs the command line and turns errors into one clear line each."""

from __future__ import annotations

import os
import sys

from diagnose.errors import DiagnoseError


def main() -> None:
    """Run ``diagnose``; exit codes as printed by ``diagnose --help``."""
    from diagnose.cli.main import app

    try:
        app()
    except DiagnoseError as error:
        print(error, file=sys.stderr)
        raise SystemExit(error.exit_code) from None
    except KeyboardInterrupt:
        raise SystemExit(130) from None
    except BrokenPipeError:
        # the reader went away (a pager, head); nothing is wrong here
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(0) from None
    except Exception as error:  # the last resort: a person gets a line, not a traceback
        if os.environ.get("DIAGNOSE_TRACE"):
            raise
        print(
            f"diagnose failed unexpectedly: {type(error).__name__}: {error}. "
            "Nothing confirmed was lost. Set DIAGNOSE_TRACE=1 and run it again to see where.",
            file=sys.stderr,
        )
        raise SystemExit(1) from None


if __name__ == "__main__":
    main()
