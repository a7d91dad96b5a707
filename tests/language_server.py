"""The language server that editors use for YAML, spoken to as an editor does: LSP over stdio."""

import json
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from queue import Queue
from threading import Thread
from typing import Any

from fetch_tools import SERVER

NODE = shutil.which("node")
_PATIENCE = 120  # seconds: it only keeps a broken server from being waited for for ever

# What an editor is set to: help from the schema that a file names, nothing from the network.
_SETTINGS = {
    "yaml": {
        "validate": True,
        "completion": True,
        "hover": True,
        "schemaStore": {"enable": False, "url": ""},
        "kubernetesCRDStore": {"enable": False},
    },
    "http": {},
    "[yaml]": {},
    "editor": {},
    "files": {},
}


class Editor:
    """An editor with one server."""

    def __init__(self, process: "subprocess.Popen[bytes]", folder: Path) -> None:
        self.process = process
        self.number = 0
        self.answers: Queue[dict[str, Any]] = Queue()
        self.diagnosed: Queue[dict[str, Any]] = Queue()
        Thread(target=self._listen, daemon=True).start()
        capabilities = {
            "workspace": {"configuration": True, "didChangeConfiguration": {}},
            "textDocument": {
                "completion": {"completionItem": {"snippetSupport": False}},
                "hover": {"contentFormat": ["plaintext"]},
                "publishDiagnostics": {},
            },
        }
        root = folder.as_uri()
        self.ask(
            "initialize",
            {
                "processId": None,
                "rootUri": root,
                "capabilities": capabilities,
                "workspaceFolders": [{"uri": root, "name": "book"}],
            },
        )
        self.tell("initialized", {})
        self.tell("workspace/didChangeConfiguration", {"settings": _SETTINGS})

    def ask(self, method: str, params: Any) -> Any:
        """Send a request and return its result."""
        self.number += 1
        self._send({"id": self.number, "method": method, "params": params})
        while True:
            answer = self.answers.get(timeout=_PATIENCE)
            if answer["id"] == self.number:
                assert "error" not in answer, answer["error"]
                return answer["result"]

    def tell(self, method: str, params: Any) -> None:
        """Send a message that has no answer."""
        self._send({"method": method, "params": params})

    def open(self, path: Path, text: str | None = None) -> list[dict[str, Any]]:
        """Open a file, with another text than on the disk if given, and return what is wrong."""
        item = {
            "uri": path.as_uri(),
            "languageId": "yaml",
            "version": 1,
            "text": path.read_text(encoding="utf-8") if text is None else text,
        }
        self.tell("textDocument/didOpen", {"textDocument": item})
        while True:
            found = self.diagnosed.get(timeout=_PATIENCE)
            if found["uri"] == item["uri"]:
                return list(found["diagnostics"])

    def close(self, path: Path) -> None:
        """Close a file."""
        self.tell("textDocument/didClose", {"textDocument": {"uri": path.as_uri()}})

    def complete(self, path: Path, line: int, column: int) -> list[dict[str, Any]]:
        """Return what is offered at a place of an open file, line and column from 0."""
        found = self.ask("textDocument/completion", self._place(path, line, column))
        return list(found["items"] if isinstance(found, dict) else found or [])

    def hover(self, path: Path, line: int, column: int) -> str:
        """Return what is said of a place of an open file."""
        found = self.ask("textDocument/hover", self._place(path, line, column))
        contents = (found or {}).get("contents", "")
        return contents["value"] if isinstance(contents, dict) else str(contents)

    def _place(self, path: Path, line: int, column: int) -> dict[str, Any]:
        return {
            "textDocument": {"uri": path.as_uri()},
            "position": {"line": line, "character": column},
        }

    def _send(self, message: dict[str, Any]) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self.process.stdin is not None
        self.process.stdin.write(b"Content-Length: %d\r\n\r\n%s" % (len(body), body))
        self.process.stdin.flush()

    def _listen(self) -> None:
        out = self.process.stdout
        assert out is not None
        while header := out.readline():
            length = int(header.partition(b":")[2])
            while out.readline().strip():
                pass
            message = json.loads(out.read(length))
            if "method" not in message:
                self.answers.put(message)
            elif message["method"] == "textDocument/publishDiagnostics":
                self.diagnosed.put(message["params"])
            elif "id" in message:
                self._send({"id": message["id"], "result": self._answer(message)})

    def _answer(self, message: dict[str, Any]) -> Any:
        if message["method"] != "workspace/configuration":
            return None
        return [_SETTINGS.get(item.get("section", ""), {}) for item in message["params"]["items"]]


@contextmanager
def editor(folder: Path) -> Iterator[Editor]:
    """Start a server for a folder, and stop it in the end."""
    assert NODE is not None
    with subprocess.Popen(
        [NODE, str(SERVER), "--stdio"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=folder,
    ) as process:
        try:
            yield Editor(process, folder)
        finally:
            process.kill()
