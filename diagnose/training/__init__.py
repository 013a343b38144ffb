"""Exercises: a simulated aeroplane with a hidden fault, and what an apprentice made of it.

``Simulated`` answers like an aeroplane, ``Attempt`` is one person's work on it, ``debrief`` holds
that against the planner's own route in the same world.
"""
