"""How good is the ranking? Invented faults on invented rigs, walked to their end and scored."""
