"""Belief over causes given the findings: exact over single causes and pairs, in numpy.

``BeliefNet`` is compiled once for a library and a layout; a ``Belief`` holds the findings of one
job and gives a ``Posterior``.  Nothing here knows rules, pipes, files or terminals.
"""

from diagnose.belief.belief import Belief, Posterior
from diagnose.belief.hypotheses import UNKNOWN, Hypotheses, odds
from diagnose.belief.mixed import Held, Mixed
from diagnose.belief.net import BeliefNet

__all__ = ["UNKNOWN", "Belief", "BeliefNet", "Held", "Hypotheses", "Mixed", "Posterior", "odds"]
