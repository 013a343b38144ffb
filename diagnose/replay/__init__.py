"""Past and invented cases played through the reasoning, and scored."""

from diagnose.replay.guided import Guided, play
from diagnose.replay.score import Place, Scored, place_of, totals

__all__ = ["Guided", "Place", "Scored", "place_of", "play", "totals"]
