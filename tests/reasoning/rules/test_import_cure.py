"""experta comes in on a Python that it was not written for, and leaves no trace on the way."""

import subprocess
import sys

CURED = """
import collections, logging
import diagnose.reasoning.rules
import experta
assert experta.KnowledgeEngine
assert not hasattr(collections, "Mapping"), "the lent name was not taken back"
assert logging.root.handlers == [], logging.root.handlers
"""

OWN_HANDLER = """
import logging
mine = logging.NullHandler()
logging.root.addHandler(mine)
import diagnose.reasoning.rules
assert logging.root.handlers == [mine]
"""


def python(program: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-W", "error", "-c", program]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_experta_imports_and_leaves_no_trace() -> None:
    result = python(CURED)
    assert result.returncode == 0, result.stderr


def test_the_program_s_own_log_handler_stays() -> None:
    result = python(OWN_HANDLER)
    assert result.returncode == 0, result.stderr


def test_the_cure_is_needed() -> None:
    """When this fails, a newer experta imports by itself and the cure can go."""
    result = python("import experta")
    assert "'collections' has no attribute 'Mapping'" in result.stderr
