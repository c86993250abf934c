"""Turning a score sorted by bars into one sorted by parts."""

from lxml import etree


def partwise_from(timewise: etree._Element) -> etree._Element:
    """The same score as ``<score-partwise>``.

    Parts come in the order of the part list, parts it does not list after them. A part
    that is left out of a bar gets an empty bar there, so that bars keep together.

    Args:
        timewise: ``<score-timewise>``; it is emptied.

    Returns:
        ``<score-partwise>`` with everything the other held: attributes, header, music.
        A bar's ``id`` stays with the first part only, as ids are unique in a file.

    Source: W3C MusicXML 4.0, ``<score-timewise>`` and ``<score-partwise>``.
    """
    partwise = etree.Element("score-partwise", dict(timewise.attrib), nsmap=timewise.nsmap)
    partwise.extend([child for child in timewise if child.tag != "measure"])
    bars = timewise.findall("measure")
    parts = _empty_parts(partwise, bars)
    for bar in bars:
        bar_attributes = dict(bar.attrib)
        copies = {}
        for part_id, part in parts.items():
            copies[part_id] = etree.SubElement(part, "measure", bar_attributes)
            bar_attributes.pop("id", None)
        for piece in bar.findall("part"):
            copies[piece.get("id", "")].extend(list(piece))
    partwise.extend(parts.values())
    return partwise


def _empty_parts(
    partwise: etree._Element, bars: list[etree._Element]
) -> dict[str, etree._Element]:
    """One empty ``<part>`` for each part that has a bar, by id, score order."""
    found: dict[str, dict[str, str]] = {}
    for bar in bars:
        for piece in bar.findall("part"):
            found.setdefault(piece.get("id", ""), {}).update(
                {str(key): str(value) for key, value in piece.attrib.items()}
            )
    listed = [entry.get("id", "") for entry in partwise.iterfind("part-list/score-part")]
    order = dict.fromkeys([part_id for part_id in listed if part_id in found])
    order.update(dict.fromkeys(found))
    return {part_id: etree.Element("part", found[part_id]) for part_id in order}
