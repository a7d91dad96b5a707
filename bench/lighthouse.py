"""Lighthouse's scores of the demo's pages: performance, accessibility, best practices, in per cent.

    python bench/lighthouse.py

The demo is built, served on loopback with its texts compressed as static hosts do, and read by a
headless Chromium with Lighthouse's own settings for a slow phone. Lighthouse comes from npm into
`.cache/bench/` the first time; after that nothing is asked of the network.
"""

import functools
import gzip
import http.server
import json
import os
import shutil
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
TOOLS = ROOT / ".cache" / "bench"
VERSION = "lighthouse@13"
PAGES = ("index", "sections/fin", "sessions/2025-11-15-a-look-inside", "parts/AF-012")
ASKED = ("performance", "accessibility", "best-practices")


class _Host(http.server.SimpleHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def log_message(self, *_: Any) -> None:
        """Say nothing."""

    def do_GET(self) -> None:
        """Send a file, a text compressed."""
        path = Path(self.translate_path(self.path))
        if path.suffix not in (".html", ".css", ".js", ".svg", ".json") or not path.is_file():
            super().do_GET()
            return
        body = gzip.compress(path.read_bytes())
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(str(path)))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)


def main() -> None:
    """Build, serve, and print a line a page."""
    program = TOOLS / "node_modules" / ".bin" / "lighthouse"
    if not program.exists():
        npm = ["npm", "install", "--no-save", "--ignore-scripts", "--no-audit", "--no-fund"]
        subprocess.run([*npm, "--prefix", str(TOOLS), VERSION], check=True, stdout=sys.stderr)
    with tempfile.TemporaryDirectory() as scratch:
        site = Path(scratch) / "site"
        build = [sys.executable, "-m", "mkdocs", "build", "-q", "-d", str(site)]
        subprocess.run(build, cwd=ROOT, check=True, env={**os.environ, "NO_MKDOCS_2_WARNING": "1"})
        handler = functools.partial(_Host, directory=str(site))
        with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
            threading.Thread(target=server.serve_forever, daemon=True).start()
            print(f"{'page':40}{''.join(f'{name:>16}' for name in ASKED)}")
            for page in PAGES:
                address = f"http://127.0.0.1:{server.server_port}/{page}.html"
                scores, failed = scored(program, address)
                print(f"{page:40}{''.join(f'{score:>16}' for score in scores)}")
                for audit in failed:
                    print(f"    {audit}")
            server.shutdown()


def scored(program: Path, address: str) -> tuple[list[str], list[str]]:
    """Give a page's scores, and what cost it some."""
    chromium = shutil.which("chromium") or shutil.which("google-chrome") or "chromium"
    done = subprocess.run(
        [
            str(program),
            address,
            "--output=json",
            "--quiet",
            f"--only-categories={','.join(ASKED)}",
            "--chrome-flags=--headless=new --no-sandbox --disable-gpu",
        ],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, "CHROME_PATH": chromium},
    )
    found = json.loads(done.stdout)
    kinds, audits = found["categories"], found["audits"]
    named = {ref["id"] for kind in kinds.values() for ref in kind["auditRefs"] if ref["weight"]}
    failed = [
        f"{name}: {audits[name]['title']} {audits[name].get('displayValue', '')}"
        for name in sorted(named)
        if audits[name]["score"] is not None and audits[name]["score"] < 0.9  # noqa: PLR2004
    ]
    return [f"{round(100 * kinds[name]['score'])}" for name in ASKED], failed


if __name__ == "__main__":
    main()
