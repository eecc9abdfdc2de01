"""The folder of cases: found, saved whole, never overwritten, and readable beside broken files."""

import errno
import os
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.casebook import disk, locks
from diagnose.casebook.locks import Lock, LockingError
from diagnose.casebook.store import Casebook, user_folder
from diagnose.errors import DiagnoseError

from .conftest import needs_fork
