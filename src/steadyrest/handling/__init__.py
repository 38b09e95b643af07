"""What must be lifted, hung and towed: what one pair of hands may lift, what sling legs carry, what lies on a coupling.

Asked plain values; gives figures with reasons, each no with its limit, and cautions that go with every one of them.
Not here: what things weigh (part/triangles/mass.py, route/weights.py). Start at lifting.py; then slings.py, trailer.py.
"""
