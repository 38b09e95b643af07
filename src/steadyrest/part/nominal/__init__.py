"""Nominals: the sizes that the drawing would have shown, judged jointly, with odds.

One latent drawing habit (inch fractions, metric, mixed, none) and one latent error of the scan (film, scale) speak for
all sizes of a part; standard parts that belong together (bearing and seat, key and shaft) tie sizes to each other.
Everything is enumerated exactly: no sampling, no thresholds on single sizes.
Not here: limits (part/limit), which reading to take next (part/ask_next/next_reading.py), finding the features.
Start at name.py, then habits.toml (how drawings choose sizes), posterior.py (the sums).
"""
