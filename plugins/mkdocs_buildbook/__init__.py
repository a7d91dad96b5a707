"""The MkDocs plugin: hosts the pages that `buildbook` lays out; no rule of the trade is here."""
