"""One defect being worked: findings in, ranking and next action out, everything kept.

``Diagnosis`` joins rules, belief and planner for a library and a layout; a ``Job`` keeps its
events in an append-only log and gives the ``Diagnosis`` exactly what the log says.
"""
