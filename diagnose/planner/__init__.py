"""What to do next: the action whose answer saves more minutes than it costs.

One currency throughout: expected minutes until the fault is rectified and verified.
"""

from diagnose.planner.actions import Action, Key, Reading, Situation
from diagnose.planner.plan import Plan, Planner

__all__ = ["Action", "Key", "Plan", "Planner", "Reading", "Situation"]
