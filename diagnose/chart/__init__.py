"""Charts on paper from the same knowledge: fault table, decision chart, cards, drawing of a layout.

A person must be able to work from the paper alone: cautions stand before steps, every step that is
named exists, and every end says what to close and where to go on if that was not it.
"""
