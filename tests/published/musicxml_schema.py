"""The W3C's schema of MusicXML 4.0, from the test dependency that carries it."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from lxml import etree

_HERE = Path(__file__).parent / "schema"


class _OwnImports(etree.Resolver):
    """Give our own two small schemas for what the schema imports by address."""

    def resolve(self, system_url, public_id, context):  # type: ignore[no-untyped-def]
        name = system_url.rpartition("/")[2]
        if name in ("xml.xsd", "xlink.xsd"):
            return self.resolve_filename(str(_HERE / name), context)
        return None


@cache
def schema() -> etree.XMLSchema:
    """Load the schema once."""
    found = find_spec("musicxml")
    assert found is not None
    assert found.origin is not None
    path = Path(found.origin).parent / "generate_classes" / "musicxml_4_0.xsd"
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_OwnImports())
    return etree.XMLSchema(etree.parse(str(path), parser))


def faults(data: bytes) -> list[str]:
    """Say what the schema finds wrong in a file."""
    parser = etree.XMLParser(no_network=True, load_dtd=False, resolve_entities=False)
    document = etree.fromstring(data, parser)
    checker = schema()
    checker.validate(document)
    return [f"line {fault.line}: {fault.message}" for fault in checker.error_log]
