"""The knowledge as frozen, typed records: what they are, how they load, how they are checked."""
