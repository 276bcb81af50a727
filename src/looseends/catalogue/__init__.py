"""Trade knowledge as data files with sources: parts, joints, checks, conditions, limits."""

from looseends.catalogue.load import Catalogue, load_catalogue, read_catalogue
from looseends.catalogue.names import kind_called, nearest, unknown_name_sentence
from looseends.catalogue.sources import Source
from looseends.catalogue.spanish import kinds_in_spanish

__all__ = [
    "Catalogue",
    "Source",
    "kind_called",
    "kinds_in_spanish",
    "load_catalogue",
    "nearest",
    "read_catalogue",
    "unknown_name_sentence",
]
