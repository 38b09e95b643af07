"""What is kept: tables, migrations, ledgers, files by content hash, the work queue.

Functions take the session and never commit; desk owns the transaction (`with store.writing() as session`). Moments are
arguments. Not here: what any of it means. Start at opening.py, then schema.py.
"""
