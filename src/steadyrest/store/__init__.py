"""What is kept: tables, migrations, ledgers, files by content hash.

Functions take the session and never commit; desk owns the transaction. Not here: what any of it means. Start at
opening.py.
"""
