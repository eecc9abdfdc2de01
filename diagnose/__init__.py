"""Fault diagnosis for 12 V pump circuits: the physics, the knowledge, and the reasoning between.

Nothing is imported here; import the room you need, such as `diagnose.units`.
"""
