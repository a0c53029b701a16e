"""The report's page as its reader meets it: what stands before the first folded part, and what each fold holds."""

from html.parser import HTMLParser

VOID = {"meta", "path", "rect", "link", "br", "img", "circle"}


class Folded(HTMLParser):
    """Reads a page: the texts above the first fold, all texts, headings by level in order, and the folds.

    Within a closed fold only its summary is seen, and of what is for a wide page or a narrow one only one. Script,
    style and the window's title are no text.
    """

    def __init__(self, html, *, without="narrow"):
        super().__init__(convert_charrefs=True)
        self._without, self._kinds = without, []
        self.open, self.above, self.all, self.headings, self.folds = [], [], [], [], []
        self._below = False
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attrs):
        if tag in VOID:
            return
        given = dict(attrs)
        self.open.append(tag)
        self._kinds.append(given.get("class"))
        if tag in ("h1", "h2", "h3", "h4"):
            self.headings.append(int(tag[1]))
        if tag == "details" and "fold" in (given.get("class") or "").split():
            self._below = True
            self.folds.append((given["id"], "open" in given))

    def handle_startendtag(self, tag, attrs):
        """A tag that is its own end holds no text."""

    def handle_endtag(self, tag):
        self.open.pop()
        self._kinds.pop()

    def handle_data(self, data):
        if {"style", "script", "title"} & set(self.open):
            return
        self.all.append(data)
        hidden = ("details" in self.open and "summary" not in self.open) or self._without in self._kinds
        if not self._below and not hidden:
            self.above.append(data)


def words(texts):
    """How many words texts have together."""
    return sum(len(text.split()) for text in texts)
