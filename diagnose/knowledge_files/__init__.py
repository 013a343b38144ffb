"""Knowledge, layout and case files to the frozen dataclasses of ``diagnose.model``."""

from diagnose.knowledge_files.aeroplanes import (
    is_registration,
    lay_over,
    layout_of_aeroplane,
    read_aeroplane_bytes,
)
from diagnose.knowledge_files.case_shelf import CaseShelf, load_shelf
from diagnose.knowledge_files.cases import (
    layout_of_case,
    list_cases,
    list_judged,
    list_told,
    load_case,
)
from diagnose.knowledge_files.cutting import cut, limit_of
from diagnose.knowledge_files.exercises import load_exercise
from diagnose.knowledge_files.find import case_folders, find_cases, find_knowledge
from diagnose.knowledge_files.layouts import list_layouts, load_layout, read_layout
from diagnose.knowledge_files.library import load_library

__all__ = [
    "CaseShelf",
    "case_folders",
    "cut",
    "find_cases",
    "find_knowledge",
    "is_registration",
    "lay_over",
    "layout_of_aeroplane",
    "layout_of_case",
    "limit_of",
    "list_cases",
    "list_judged",
    "list_layouts",
    "list_told",
    "load_case",
    "load_exercise",
    "load_layout",
    "load_library",
    "load_shelf",
    "read_aeroplane_bytes",
    "read_layout",
]
