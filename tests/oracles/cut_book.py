"""A book of pieces as a dict: lengths after cuts, who was refused. Plain; nothing of ours."""

from __future__ import annotations


class CutBook:
    """Lengths by label, whole numbers of mm so that nothing rounds."""

    def __init__(self):
        self.left = {}
        self.turn = {}

    def come(self, label, length):
        self.left[label], self.turn[label] = length, 1

    def cut(self, label, take, kerf, seen):
        """True if it may be done."""
        if label not in self.left or seen not in (None, self.turn[label]) or take > self.left[label]:
            return False
        left = max(self.left[label] - take - kerf, 0)
        self.turn[label] += 1
        if left:
            self.left[label] = left
        else:
            del self.left[label]
        return True
