"""Building a site as a whole into a folder, leaving no trace for a next build."""

from pathlib import Path

from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config

from mkdocs_buildbook.plugin import BuildbookPlugin


def build_whole(settings: Path, target: Path, edition: str, *, from_disk: bool = False) -> None:
    """Build an edition of the site whose settings are in a file. Raises MkDocs' exceptions.

    With `from_disk` its links lead to files, for a browser without a server, whatever the settings
    say.
    """
    config = load_config(config_file=str(settings), site_dir=str(target))
    config.use_directory_urls = config.use_directory_urls and not from_disk
    plugin = config.plugins.get("buildbook")
    if isinstance(plugin, BuildbookPlugin):
        plugin.config.edition = edition
    config.plugins.on_startup(command="build", dirty=False)
    mkdocs_build(config)
    config.plugins.on_shutdown()


def tells_history(settings: Path) -> bool:
    """Tell whether a site says when each session was written down. Raises MkDocs' exceptions."""
    plugin = load_config(config_file=str(settings)).plugins.get("buildbook")
    return isinstance(plugin, BuildbookPlugin) and plugin.config.history


def content_of(settings: Path) -> Path:
    """Tell where the records of a site are. Raises MkDocs' exceptions."""
    return Path(load_config(config_file=str(settings)).docs_dir)
