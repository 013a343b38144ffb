"""Knowledge, layout and case files to the frozen dataclasses of ``diagnose.model``."""

from diagnose.knowledge_files.library import load_library

__all__ = ["load_library"]
