"""A hidden fault and how it answers: faulty rigs, the people beside them, and ways to walk."""
