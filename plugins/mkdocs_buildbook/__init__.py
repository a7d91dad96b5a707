"""The MkDocs plugin: it hosts the pages that `buildbook` lays out, and holds no rules of the trade."""
