"""What retiring experts know: asked, kept word for word, drafted as knowledge, reviewed.

An interview is a log of questions and answers (``record``); which question comes next follows
from what was said (``steps``), so it can be left, killed and taken up at any moment.  ``drafts``
makes knowledge files of the answers, ``overlay`` lays them over a knowledge folder in memory,
``accepting`` writes what a second person accepted.
"""
