"""The MusicXML 4.0 schema of the W3C, as an outside check of what we write.

Source: the XSD of the PyPI package ``musicxml``. The two schemas it imports are not carried
there (its ``xml.xsd`` holds only types), so the few attributes MusicXML takes from the XML and
XLink namespaces stand here.
"""

from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from lxml import etree

XML = b"""<?xml version="1.0"?>
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
    targetNamespace="http://www.w3.org/XML/1998/namespace">
  <xs:attribute name="lang" type="xs:language"/>
  <xs:attribute name="space">
    <xs:simpleType><xs:restriction base="xs:NCName">
      <xs:enumeration value="default"/><xs:enumeration value="preserve"/>
    </xs:restriction></xs:simpleType>
  </xs:attribute>
</xs:schema>"""
XLINK = b"""<?xml version="1.0"?>
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
    targetNamespace="http://www.w3.org/1999/xlink">
  <xs:attribute name="href" type="xs:anyURI"/>
  <xs:attribute name="type" fixed="simple"/>
  <xs:attribute name="role" type="xs:token"/>
  <xs:attribute name="title" type="xs:token"/>
  <xs:attribute name="show">
    <xs:simpleType><xs:restriction base="xs:NMTOKEN">
      <xs:enumeration value="new"/><xs:enumeration value="replace"/>
      <xs:enumeration value="embed"/><xs:enumeration value="other"/>
      <xs:enumeration value="none"/>
    </xs:restriction></xs:simpleType>
  </xs:attribute>
  <xs:attribute name="actuate">
    <xs:simpleType><xs:restriction base="xs:NMTOKEN">
      <xs:enumeration value="onRequest"/><xs:enumeration value="onLoad"/>
      <xs:enumeration value="other"/><xs:enumeration value="none"/>
    </xs:restriction></xs:simpleType>
  </xs:attribute>
</xs:schema>"""


class _Local(etree.Resolver):
    """Answers the schema's imports from files at hand; nothing is fetched."""

    def resolve(
        self,
        system_url: str | None,
        public_id: str | None,  # noqa: ARG002
        context: Any,
    ) -> Any:
        if system_url and system_url.endswith("xlink.xsd"):
            return self.resolve_string(XLINK, context)
        if system_url and system_url.endswith("xml.xsd"):
            return self.resolve_string(XML, context)
        return None


@cache
def schema() -> etree.XMLSchema:
    """The compiled schema, built once."""
    found = find_spec("musicxml")
    assert found
    assert found.origin
    folder = Path(found.origin).parent / "generate_classes"
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    return etree.XMLSchema(etree.parse(folder / "musicxml_4_0.xsd", parser))


def faults(data: bytes) -> list[str]:
    """What the schema has against a score, as ``line: message``; empty when it is valid."""
    parser = etree.XMLParser(
        no_network=True, load_dtd=False, resolve_entities=False, huge_tree=True
    )
    root = etree.fromstring(data, parser)
    found = [] if schema().validate(root) else list(schema().error_log)
    return [f"{fault.line}: {fault.message}" for fault in found] + _identity_faults(root)


def _identity_faults(root: etree._Element) -> list[str]:
    """Ids given twice or referred to and never given: xs:ID and xs:IDREF.

    libxml2 2.14 does not look at either when it validates by schema, so it is done here.
    """
    references = (
        "part", "instrument", "instrument-change", "midi-instrument", "midi-device", "play"
    )  # fmt: skip
    given: set[str] = set()
    found = []
    for element in root.iter(etree.Element):
        name = element.get("id")
        if name is None or element.tag in references:
            continue
        if name in given:
            found.append(
                f"{element.sourceline}: the id {name!r} of '{element.tag}' is given twice"
            )
        given.add(name)
    for element in root.iter(*references):
        name = element.get("id")
        if name is not None and name not in given:
            found.append(f"{element.sourceline}: '{element.tag}' refers to no id {name!r}")
    return found


def assert_valid(data: bytes) -> None:
    """Fail with the schema's first complaints unless the score is valid."""
    found = faults(data)
    assert not found, "\n".join(found[:10])
