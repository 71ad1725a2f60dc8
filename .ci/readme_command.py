"""Print the one command of a README's code blocks that holds a word: what a newcomer would type."""

import sys
from pathlib import Path


def command(text: str, word: str) -> str:
    """Return the command; lines that end in a backslash go on in the next one."""
    found = []
    fenced = False
    for line in text.replace("\\\n", " ").splitlines():
        if line.startswith("```"):
            fenced = not fenced
        elif (fenced or line.startswith("    ")) and word in line:
            found.append(" ".join(line.split()))
    if len(found) != 1:
        raise SystemExit(
            f'{len(found)} commands with "{word}" in the README, one is expected: {found}'
        )
    return found[0]


if __name__ == "__main__":
    sys.stdout.write(command(Path(sys.argv[1]).read_text(encoding="utf-8"), sys.argv[2]) + "\n")
