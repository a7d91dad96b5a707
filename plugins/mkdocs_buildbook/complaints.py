"""Problems of the records, on the pages of the site while it is written."""

from logging import Logger, LoggerAdapter
from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig

from buildbook.cli.report import one_finding
from buildbook.pages.complaints import ComplaintsView, ComplaintView
from buildbook.pages.page import Page
from buildbook.pages.words import say, speaking
from buildbook.records.problems import Finding, Severity
from mkdocs_buildbook.drawing import Drawing
from mkdocs_buildbook.files import BookPage, PageFile

_MOST = 8
"""Problems shown on one page; the terminal lists all."""


class Complaints:
    """What is wrong in the records now, by file."""

    def __init__(self) -> None:
        self.by_file: dict[str, list[Finding]] = {}
        self._told: set[Finding] = set()

    def take(self, findings: list[Finding]) -> None:
        """Show these from now on."""
        self.by_file = {}
        for finding in findings:
            self.by_file.setdefault(finding.file, []).append(finding)
        self._told &= set(findings)

    def log(self, finding: Finding, content: Path, log: "Logger | LoggerAdapter[Logger]") -> None:
        """Tell a problem in the terminal, once until it is mended."""
        if finding not in self._told:
            self._told.add(finding)
            level = log.error if finding.severity is Severity.ERROR else log.warning
            level("%s", one_finding(finding, Path(content.name)).rstrip())

    def about(self, files: frozenset[str]) -> ComplaintsView | None:
        """Make the view of what is wrong in some files; None where nothing is."""
        found = [finding for file in sorted(files) for finding in self.by_file.get(file, ())]
        if not found:
            return None
        return ComplaintsView(tuple(map(_view, found[:_MOST])), len(found[_MOST:]))

    def page(self, path: str, file: str, config: MkDocsConfig, drawing: Drawing) -> BookPage:
        """Make the page that stands in for one whose record cannot be read."""
        target = PageFile(f"{path}.md", None, config.site_dir, config.use_directory_urls)
        with speaking(drawing.layout.language):
            view = self.about(frozenset({file})) or ComplaintsView((), 0)
            title = say("%(file)s cannot be read", file=file)
        stand_in = Page(path, title, "unreadable.html", view, [], frozenset())
        return _StandIn(stand_in, target, config, drawing)


class _StandIn(BookPage):
    def __init__(self, page: Page, file: PageFile, config: MkDocsConfig, drawing: Drawing) -> None:
        super().__init__(page.path, file, config, drawing)
        self._page = page

    @property
    def book_page(self) -> Page:
        """The page itself: the book has none of that name now."""
        return self._page


def _view(finding: Finding) -> ComplaintView:
    return ComplaintView(
        finding.severity.value,
        say("%(file)s, line %(line)s", file=finding.file, line=finding.line),
        finding.message,
        finding.text,
        finding.advice,
    )
