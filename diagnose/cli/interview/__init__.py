"""The terminal side of an interview: the talk, the review, and what is printed of them."""
