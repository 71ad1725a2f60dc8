"""Ctrl-C before the commands are there, and after all is said."""

import os
import signal
import subprocess
import sys

import pytest

# A shell without job control starts what runs in the background deaf to Ctrl-C, tests too.
AT_A_TERMINAL = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)\n"
# Stands in for a slow disk: the signal comes while a module is loaded.
LOADING = """
import os, signal, sys
class Finder:
    def find_spec(self, name, path=None, target=None):
        if name == "click":
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Finder())
from planner.__main__ import run
sys.argv = ["planner", "--version"]
run()
"""
ENDING = """
import atexit, os, signal, sys
atexit.register(lambda: os.kill(os.getpid(), signal.SIGINT))
from planner.__main__ import run
sys.argv = ["planner", "--version"]
run()
"""


@pytest.mark.skipif(os.name != "posix", reason="signals are another thing elsewhere")
@pytest.mark.parametrize(("code", "codes"), [(LOADING, (130,)), (ENDING, (-signal.SIGINT,))])
def test_ctrl_c_at_the_edges_shows_no_traceback(code: str, codes: tuple[int, ...]):
    """It came in every tenth try at a terminal."""
    done = subprocess.run(
        [sys.executable, "-c", AT_A_TERMINAL + code], capture_output=True, text=True, check=False
    )
    assert done.returncode in codes
    assert done.stderr == ""
