"""The functions as cells see them: registry, cell gate, wording."""
