"""Catalogues of the site's own words in other languages, a folder a language."""
