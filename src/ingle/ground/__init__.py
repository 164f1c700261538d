"""Ground: units, errors, sources, tables and the things all floors speak of."""
