"""The same book gives the same site, byte for byte."""

from pathlib import Path

from sites import ROOT, Site, build


def test_two_builds_are_the_same(demo_site: Site, tmp_path: Path) -> None:
    again = build(ROOT / "mkdocs.yml", tmp_path / "again").folder
    names = [
        {f.relative_to(folder).as_posix() for f in folder.rglob("*") if f.is_file()}
        for folder in (demo_site.folder, again)
    ]
    assert names[0] == names[1]
    assert len(names[0]) > 300
    # The site map tells when it was made.
    different = [
        name
        for name in sorted(names[0] - {"sitemap.xml", "sitemap.xml.gz"})
        if (demo_site.folder / name).read_bytes() != (again / name).read_bytes()
    ]
    assert different == []
