"""How a part is set up on a mill: from which sides, in which order, held how.

Asked for the cells, the features and the machine; gives set-ups, or why there are none. Start at choose.py; needs.py
says from where each feature can be made, cover.py finds the fewest clampings, holding.py what holds the work then,
jaws.py what the vise closes in.
Not here: what each tool takes away (removal/), how long it takes (times/).
"""
