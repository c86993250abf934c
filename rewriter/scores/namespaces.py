"""Names that belong to a namespace, such as those of a link."""

from __future__ import annotations

import re
from typing import Final

_TAG: Final = re.compile(rb"<!--.*?-->|<\?.*?\?>|<(/?)([^\s/>]+)([^>]*?)(/?)>", re.DOTALL)
_DECLARED: Final = re.compile(rb' xmlns:([^\s=]+)="[^"]*"')
_PREFIX: Final = re.compile(rb"(?:^| )([^\s=:\"]+):")


def declared_where_used(bar: bytes) -> bytes:
    """A bar in which whatever has a name of a namespace says itself which one that is.

    So each of its elements can be cut out and put elsewhere as it is.

    Args:
        bar: as lxml writes it, with all declarations that hold in it.

    >>> declared_where_used(b'<measure xmlns:a="b"><note><dot a:c="d"/></note></measure>')
    b'<measure xmlns:a="b"><note><dot xmlns:a="b" a:c="d"/></note></measure>'
    """
    scopes: list[dict[bytes, bytes]] = [{}]

    def with_its_own(tag: re.Match[bytes]) -> bytes:
        closing, name, attributes, empty = tag.groups()
        if name is None:  # a comment
            return tag[0]
        if closing:
            scopes.pop()
            return tag[0]
        own = {match[1]: match[0] for match in _DECLARED.finditer(attributes)}
        holds = scopes[-1] | own
        if not empty:
            scopes.append(holds)
        used = {match[1] for match in _PREFIX.finditer(name + attributes)} & holds.keys()
        missing = b"".join(holds[prefix] for prefix in sorted(used - own.keys()))
        return b"<%b%b%b%b>" % (name, missing, attributes, empty)

    return _TAG.sub(with_its_own, bar)
