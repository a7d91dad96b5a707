"""The documentation is served beside the book."""

import os
import signal
import socket
import subprocess
import urllib.error
import urllib.request

import pytest
import scratch
from test_doc_commands import ask

pytestmark = pytest.mark.skipif(os.name == "nt", reason="no SIGINT for a child there")


def test_a_folder_beside_the_book(tmp_path):
    book = scratch.make("fencroft", tmp_path / "book")
    scratch.write(tmp_path / "manual" / "index.html", "<html><body>The manual</body></html>")
    scratch.write(tmp_path / "manual" / "how-to" / "a.html", "<html><body>How to</body></html>")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"127.0.0.1:{free.getsockname()[1]}"
    server = subprocess.Popen(
        ["/bin/sh", "-c", f"exec buildbook serve --beside ../manual --address {address}"],
        cwd=book,
        env=scratch.surroundings(book),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    try:
        assert b"The Fencroft book" in ask(f"http://{address}/", server)
        for _ in range(2):
            assert b"The manual" in ask(f"http://{address}/manual/", server)
            assert b"How to" in ask(f"http://{address}/manual/how-to/a.html", server)
            assert b"Rear spar" in ask(f"http://{address}/parts.html", server)
            scratch.write(book / "content" / "new.md", "# New\n")
        with pytest.raises(urllib.error.HTTPError):
            urllib.request.urlopen(f"http://{address}/manual/none.html")
    finally:
        server.send_signal(signal.SIGINT)
        server.communicate(timeout=scratch.WAIT)
    assert (tmp_path / "manual" / "how-to" / "a.html").is_file()
