"""Published data as files, each row with its source, and typed readers.

Not here: formulas (they live where they are used). sources.toml says where each was read. Start at materials.py.
"""
