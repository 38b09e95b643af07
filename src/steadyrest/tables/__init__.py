"""Published data as files, each row with its source and standing, and typed readers.

The figures stand in data/*.csv in the units of their print; a reader converts, once, and only when first asked.
sources.toml says where each was read. Standing of a row: seen, seen in a reprint, computed, from memory, or common
practice, no source. Formulas are here only where a table is made of them (threads, ISO 286 limits from deviations).

Not here: what a shop charges, owns or prefers (shop.toml). Start at materials.py and fits.py; rows.py reads the files.
"""
