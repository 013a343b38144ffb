"""The case book: jobs drawn with the fuel-system model, and past cases like the one in hand.

``draw`` makes a finished job out of a failure put into the model; ``case_text`` writes it as a
case file, and ``begun`` makes one of a report.  ``PastCases`` finds finished cases like the
findings at hand; it never ranks.
"""

from diagnose.casebook.begun import begun
from diagnose.casebook.draw import Draw, draw
from diagnose.casebook.own_jobs import OwnJobs, own_jobs
from diagnose.casebook.plan import Drawn, draw_all
from diagnose.casebook.similar import Alike, PastCases
from diagnose.casebook.writing import case_text

__all__ = [
    "Alike",
    "Draw",
    "Drawn",
    "OwnJobs",
    "PastCases",
    "begun",
    "case_text",
    "draw",
    "draw_all",
    "own_jobs",
]
