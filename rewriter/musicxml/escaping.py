"""Text made fit to stand in XML: the one place where it happens."""

from html import escape


def escaped(text: str) -> bytes:
    """Text for an element.

    >>> escaped("Flöte & Oboe <2>").decode()
    'Flöte &amp; Oboe &lt;2&gt;'
    """
    return escape(text, quote=False).encode()


def attribute(name: str, text: str) -> bytes:
    """An attribute with the space before it.

    >>> attribute("number", 'X"1').decode()
    ' number="X&quot;1"'
    """
    value = text if text.isalnum() else escape(text).replace("&#x27;", "'")
    return f' {name}="{value}"'.encode()
