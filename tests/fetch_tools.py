"""Fetch the programs that tests use and pip does not have, from npm.

    python tests/fetch_tools.py

They are the Nu HTML checker (needs Java), axe-core, the accessibility rules, and the YAML language
server that editors use. They come into `.cache/tools/`, in the versions named here. Without npm the
tests that need them are skipped.
"""

import shutil
import subprocess
import sys
from pathlib import Path

TOOLS = Path(__file__).resolve().parents[1] / ".cache" / "tools"
CHECKER = "vnu-jar@26.9.27"
JAR = TOOLS / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"
RULES = "axe-core@4.14.1"
AXE = TOOLS / "node_modules" / "axe-core" / "axe.min.js"
EDITORS = "yaml-language-server@1.25.0"
SERVER = TOOLS / "node_modules" / "yaml-language-server" / "bin" / "yaml-language-server"


def main() -> int:
    """Install what is missing; return an exit status."""
    if JAR.is_file() and AXE.is_file() and SERVER.is_file():
        return 0
    npm = shutil.which("npm")
    if not npm:
        sys.stderr.write(
            "there is no npm: HTML, accessibility and help in editors will not be checked\n"
        )
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
        RULES,
        EDITORS,
    ]
    return subprocess.run(command, check=False, stdout=sys.stderr).returncode


if __name__ == "__main__":
    sys.exit(main())
