"""The walk on a phone: pages made by a server in the workshop, that work without scripts.

Each walk is in its journal before a page is shown, and held for the length of one request only: a
closed tab or a killed server loses nothing, and the terminal can go on with it.
"""
