"""Knowledge, layout and case files to the frozen dataclasses of ``diagnose.model``."""

from diagnose.knowledge_files.layouts import list_layouts, load_layout
from diagnose.knowledge_files.library import load_library

__all__ = ["list_layouts", "load_layout", "load_library"]
