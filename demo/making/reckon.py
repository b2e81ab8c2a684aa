"""The second reckoning: every number that the board, the statements and the year's review print.

Each document is told line by line, in the order in which it is printed; of a line stand the words
that hold a digit, worked out here from the written files and from nothing that the program said.
What no file of the demo can tell has a reason of the short list `WHY` beside it. Because a document
is the whole row of its numbers, one that is not reckoned here does not fit, wherever it appears.
"""

from . import company, hand, reckon_board, reckon_doses
from .hand_maintenance import Maintenance

WHY = {
    "rule": "a citation, an item number or a band of a published text, and no figure of the demo",
    "entry": "numbers of entries and the head hash, which only the ledger gives: `*` is one word",
    "split": "how many of some records may go and why others stay, which the tests of retention hold",
    "spelling": "ids that are proposed for one that no register has",
}
FILE = "reckoned.tsv"
EDGE = "()[],;:.`'\""


def numbers(text):
    """The words of a text that hold a digit, without the signs around them."""
    words = (word.strip(EDGE) for word in text.split())
    return [word for word in words if any(c.isdigit() for c in word) or word == "*"]


class Page:
    """One document: the command that prints it, and its lines."""

    def __init__(self, command):
        self.command, self.lines = command, []

    def say(self, place, text, why=""):
        """One place of the document, as it is printed but for words without a digit."""
        assert why in WHY or "*" not in numbers(text) and not why, place
        self.lines.append((place, " ".join(numbers(text)), why))

    def text(self):
        """The document as lines of the file: place, words, reason."""
        rows = ["\t".join(line).rstrip() for line in self.lines if line[1]]
        return f"$ {self.command}\n" + "".join(row + "\n" for row in rows)


def text(root):
    """The file of all documents."""
    dosimetry, maintenance = hand.Dosimetry(root), Maintenance(root)
    pages = [reckon_board.board(Page(f"board --on {company.TODAY}"), dosimetry, maintenance)]
    for year in ("2024", "2025", "2026"):
        for worker in sorted(dosimetry.books.workers):
            if dosimetry.books.workers[worker]["monitored_from"][:4] <= year:
                page = Page(f"dose statement {worker} --year {year}")
                page = reckon_doses.statement(page, dosimetry, worker, year)
                pages.append(page)
    for year in ("2025", "2026"):
        page = reckon_doses.review(Page(f"review {year}"), dosimetry, maintenance, year)
        pages.append(page)
    head = ("# Every number of these documents, reckoned from the files by making/reckon.py:\n"
            "# place, the words with a digit in the order in which they stand, and where no file\n"
            "# tells them a reason:\n")
    head += "".join(f"# {why}: {words}\n" for why, words in WHY.items())
    return head + "\n".join([""] + [page.text() for page in pages])
