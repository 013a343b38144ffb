"""How long ``diagnose lint`` takes on the shipped base, and loading it, with and without cache.

    python tests/benchmarks/bench_lint.py

Aims: lint of the whole base under 10 s, load from the cache under 1 s.
"""

from __future__ import annotations

import tempfile
from pathlib import Path
from time import perf_counter, process_time

from diagnose import lint
from diagnose.knowledge_files import list_layouts, load_layout, load_library
from diagnose.lint.codes import all_lookers

KNOWLEDGE = Path(__file__).parents[2] / "knowledge"


def timed(what: str, start: tuple[float, float]) -> None:
    """Print wall and processor time since ``start``."""
    wall, own = perf_counter() - start[0], process_time() - start[1]
    print(f"  {what:<44} {wall:6.2f} s  (processor {own:5.2f} s)")


def now() -> tuple[float, float]:
    """Return wall and processor time."""
    return perf_counter(), process_time()


def main() -> None:
    """Print everything."""
    with tempfile.TemporaryDirectory() as folder:
        cache = Path(folder)
        start = now()
        library = load_library(KNOWLEDGE, cache_dir=cache)
        print(f"{len(library.causes)} causes, {len(library.symptoms)} symptoms")
        timed("load, no cache", start)
        start = now()
        load_library(KNOWLEDGE, cache_dir=cache)
        timed("load from the cache (aim: under 1 s)", start)
        start = now()
        layouts = {name: load_layout(path) for name, path in list_layouts(KNOWLEDGE).items()}
        timed(f"load {len(layouts)} layouts", start)

        codes = lint.chosen((), (), model=False)
        start = now()
        result = lint.lint(KNOWLEDGE, codes, cache_dir=cache)
        timed(f"lint, {len(codes)} codes (aim: under 10 s)", start)
        print(f"  {len(result.stands)} findings, {len(result.waived)} waived")

        base = lint.Base(library, layouts)
        start = now()
        for on in base.on.values():
            _ = on.book
        timed("of it: compiling the rules", start)
        for looker in all_lookers():
            if set(looker.codes) & set(codes):
                start = now()
                list(looker.look(base))
                timed(f"of it: {looker.doing}", start)


if __name__ == "__main__":
    main()
