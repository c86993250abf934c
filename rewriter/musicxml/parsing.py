"""Parsing XML from anywhere: one pass in C, nothing fetched, growth and depth bounded."""

import re

from lxml import etree

from rewriter.musicxml.faults import broken_xml, what_instead, wrong_root

_DECLARES_UTF16 = re.compile(rb"<\?xml[^>]*encoding=[\"']utf-?16", re.IGNORECASE)


def parse_score(data: bytes, *, comments: bool = False) -> etree._Element:
    """The root of a score, sorted by parts or by bars.

    Args:
        data: of an unzipped file.
        comments: keep comments and processing instructions.

    Raises:
        Refused: the bytes are something else, or their XML is damaged.
    """
    refused = what_instead(data)
    if refused:
        raise refused
    # Some programs leave an empty line before the declaration, which XML does not allow.
    text = data if b"\0" in data[:4] else data.lstrip()
    # Some declare UTF-16 and write one byte for a letter; what is there counts.
    encoding = "UTF-8" if _DECLARES_UTF16.match(text) else None
    try:
        root = etree.fromstring(text, safe_parser(encoding, comments=comments))
    except etree.XMLSyntaxError as error:
        lines_before = data[: len(data) - len(text)].count(b"\n")
        raise broken_xml(text, error, lines_before) from None
    if root.tag not in {"score-partwise", "score-timewise"}:
        raise wrong_root(root)
    return root


def safe_parser(encoding: str | None = None, *, comments: bool = False) -> etree.XMLParser:
    """A parser for files from anywhere: nothing is fetched, growth and depth are bounded.

    The white space between elements is left out, and so are comments and processing
    instructions unless they are asked for.
    Entities that the file itself defines are expanded as far as the XML library thinks
    harmless. Each thread and file gets its own. ``collect_ids=False`` would be a little
    faster, but has libxml2 2.14 load the document type from outside.

    Args:
        encoding: what the bytes are in, against what they declare.
        comments: keep comments and processing instructions.
    """
    return etree.XMLParser(
        encoding=encoding,
        remove_blank_text=True,
        remove_comments=not comments,
        remove_pis=not comments,
        strip_cdata=True,
        resolve_entities="internal",
        no_network=True,
        load_dtd=False,
        huge_tree=False,  # the library's own bounds: 256 levels, 10 million letters in a text
    )
