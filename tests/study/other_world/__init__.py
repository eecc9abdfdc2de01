"""A second truth for the study: the trade's own laws, written apart from the reasoner's circuit.

Nothing here is shared with what predicts: other laws for battery, motor, water, relay, fuse and
heat, other faults, other people. Numbers are estimates from trade practice unless a source stands
beside them.
"""
