"""Sentences of a page: the verdict with what it hangs on in bold."""

from markupsafe import Markup

from reconcile.page.shown import said

ENDS = (": ", ". ", "? ")


def bold_first(sentence: str) -> Markup:
    """``<b>Not every job can be done:</b> 23 of ...``: what is said first is what matters."""
    cuts = [sentence.find(end) for end in ENDS if sentence.find(end) > 0]
    if not cuts:
        return Markup("<b>{}</b>").format(said(sentence))
    cut = min(cuts) + 1
    return Markup("<b>{}</b>{}").format(said(sentence[:cut]), said(sentence[cut:]))
