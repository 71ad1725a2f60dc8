"""Kill a writer of the record 1,000 times at random moments.

``python tests/benchmarks/record_kills.py [ROUNDS] [SEED]``; see ``tests/store/kills.py``.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

SCRIPT = Path(__file__).parents[1] / "store" / "kills.py"

if __name__ == "__main__":
    rounds, seed = (sys.argv[1:] + ["1000", "1"][len(sys.argv) - 1 :])[:2]
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run([sys.executable, str(SCRIPT), folder, rounds, seed], check=False)
    raise SystemExit(done.returncode)
