"""What is it: files, patches, features, nominals, doubts.

A scan and a solid become the same patch graph (patch.py); one feature finder and one nominal finder serve both. In
the order of work: files, triangles, segment or solid (patches), relations, features, threads, wear, nominal, limit;
flat for drawings; damage, metal, ask_next (what to read or ask next), compared and handover for what else is wanted
of a part. Not here: processes with limits for strangers' files (workers), what it is made from (stock). Start at
read.py.
"""
