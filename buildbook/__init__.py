"""From short session records to a build manual: read a book, derive its ledger, lay out its pages."""

__version__ = "0.1.0"
