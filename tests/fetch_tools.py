"""Fetch the programs that tests use and pip does not have: the Nu HTML checker (needs Java).

    python tests/fetch_tools.py

It comes from npm into `.cache/tools/`, in the version named here. Without npm the tests that need
it are skipped.
"""

import shutil
import subprocess
import sys
from pathlib import Path

TOOLS = Path(__file__).resolve().parents[1] / ".cache" / "tools"
CHECKER = "vnu-jar@26.9.27"
JAR = TOOLS / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"


def main() -> int:
    """Install what is missing; return an exit status."""
    if JAR.is_file():
        return 0
    npm = shutil.which("npm")
    if not npm:
        sys.stderr.write("there is no npm: the HTML of the pages will not be checked\n")
        return 0
    TOOLS.mkdir(parents=True, exist_ok=True)
    command = [
        npm,
        "install",
        "--no-save",
        "--ignore-scripts",
        "--no-audit",
        "--no-fund",
        "--prefix",
        TOOLS,
        CHECKER,
    ]
    return subprocess.run(command, check=False, stdout=sys.stderr).returncode


if __name__ == "__main__":
    sys.exit(main())
