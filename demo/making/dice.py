"""Repeatable chance: whole numbers drawn from SHA-256 of a label.

Each thing is drawn from its own label, so that a change to one sheet leaves all others as they
were, and no library's random generator can change the files between Python versions.
"""

import hashlib

START = "quillback-plains-1"


class Dice:
    """Draws for one label; the n-th draw of a label is always the same."""

    def __init__(self, label):
        self.label = label
        self.count = 0

    def below(self, limit):
        """A whole number from 0 to limit - 1."""
        self.count += 1
        text = f"{START}/{self.label}/{self.count}"
        return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big") % limit

    def chance(self, permille):
        """True in about `permille` of a thousand draws."""
        return self.below(1000) < permille

    def pick(self, items):
        """One of the items, each as likely."""
        return items[self.below(len(items))]

    def weighted(self, table):
        """One value of [(weight, value), ...]."""
        roll = self.below(sum(weight for weight, _ in table))
        for weight, value in table:
            if roll < weight:
                return value
            roll -= weight
        raise ValueError("empty table")
