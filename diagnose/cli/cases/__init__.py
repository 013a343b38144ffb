"""The commands that play, rank, draw and search cases."""
