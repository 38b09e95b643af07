"""Which metal: odds over kinds of metal from weight, magnet, file, colour and spark, and the next test worth its time.

Not here: the volume (part/read.py), what a kind does in a test (tables/metal_tests.py), how the metal cuts
(tables/materials.py). Alloys that these tests cannot split are named as a kind, never singly. Start at which.py.
"""
