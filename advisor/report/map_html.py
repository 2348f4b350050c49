"""Renders a map as one HTML file that needs nothing else, with the picture as SVG."""

from datetime import date

from advisor.maps.document import MapDocument
from advisor.report import html
from advisor.report.map_picture import picture


def map_page(document: MapDocument, *, on: date) -> str:
    """Return the page of a map dated `on`."""
    return html.page("map.html.j2", document, on, False, picture=picture(document))
