"""Everything a user sees: cells, files, commands. Units, words and cells live here, calculation lives in `calc`."""
