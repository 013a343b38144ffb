"""Places: how the parts of a layout are related, in the run state in force.

Knowledge speaks of 'the engines fed through it' or 'its tank'; this package says which parts those
are, and in what share of the settings nobody stated.
"""

from diagnose.places.feeding import DEFAULT_UNSTATED
from diagnose.places.graph import joint_positions
from diagnose.places.naming import PlaceMatch
from diagnose.places.places import Places

__all__ = ["DEFAULT_UNSTATED", "PlaceMatch", "Places", "joint_positions"]
