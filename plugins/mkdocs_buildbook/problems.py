"""Problems of the records in MkDocs' log, where `--strict` counts them."""

from logging import Logger, LoggerAdapter
from pathlib import Path

from buildbook.cli.report import one_finding
from buildbook.records.problems import Severity
from buildbook.records.read import Reading


def report(reading: Reading, content: Path, log: "Logger | LoggerAdapter[Logger]") -> None:
    """Log every problem; the pages are built from what could be read."""
    shown = Path(content.name)
    for finding in reading.findings():
        level = log.error if finding.severity is Severity.ERROR else log.warning
        level("%s", one_finding(finding, shown).rstrip())
