"""What is printed: the frame of a page, sheets filled by a line budget, drawings, shared words.

Nothing here reasons; it turns words and parts into paper that says the same to every reader.
"""
