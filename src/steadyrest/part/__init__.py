"""What is it: files, patches, features, nominals, doubts.

A scan and a solid become the same patch graph (patch.py); one feature finder and one nominal finder serve both.
Not here: processes with limits for strangers' files (workers), what it is made from (stock). Start at read.py.
"""
