"""Names as growers type them: plants that are never food, and flowers that are commonly eaten."""

from __future__ import annotations

from typing import NamedTuple


class Named(NamedTuple):
    """A plant as it is entered: its name, and its botanical name where one is given."""

    name: str
    botanical_name: str = ""


DANGEROUS = (
    *map(Named, ("Monkshood", "MONKSHOOD", "monkshod", "Monk's-hood", "Monks hood", "Wolfsbane", "Aconitum napellus")),
    *map(Named, ("Aconitum carmichaelii 'Arendsii'", "blue ACONITUM", "Aconitm", "Eisenhut", "Blauer Eisenhut")),
    *map(Named, ("Monnikskap", "Aconit napel", "'Monkshood'", "Spark's Variety monkshood", "Delphinium", "delfinium")),
    *map(Named, ("Delphinium 'Black Knight'", "DELPHINIUM PACIFIC GIANTS", "Delphinum elatum", "Rittersporn blau")),
    *map(
        Named, ("Ridderspoor", "Pied-d'alouette", "Larkspur", "Larkspurs, mixed", "Espuela de caballero", "Larkspurr")
    ),
    *map(Named, ("Lily of the valley", "white lily of the valley", "Lily-of-the-valley", "LILY OF THE VALLY")),
    *map(Named, ("Convallaria majalis", "Convalaria", "Maiglöckchen", "Maigloeckchen", "Muguet de mai", "Mughetto")),
    *map(Named, ("Daffodil", "Daffodils 'Thalia'", "Narcissus", "narcisus", "Osterglocke", "Jonquil", "Narzissen")),
    *map(Named, ("Foxglove", "Fox glove 'Alba'", "Digitalis purpurea", "digitallis", "Fingerhut", "Vingerhoedskruid")),
    *map(Named, ("Lily", "Bluebell", "Wolfsmilch", "Euphorbia 'Diamond Frost'", "Herbstzeitlose", "Autumn crocus")),
    *map(Named, ("Oleander", "Christrose", "Hellebore", "Ammi majus", "Tulip 'Queen of Night'", "Persian buttercup")),
    *map(Named, ("Oriental lily", "Lilium 'Casa Blanca'", "Day lily", "Hemerocallis", "Madonnenlilie")),
    Named("Summer blues", "Aconitum napellus"),
    Named("Tall spikes", "delphinium \N{MULTIPLICATION SIGN} cultorum"),
    Named("Monkshood", "Calendula officinalis"),
    Named("Kornblume", "Delphinium elatum"),
    Named("Cornflower", "Aconitm napelus"),
)
"""Misspelt, in capitals, by cultivar, in Latin, in several languages, and with a botanical name that is wrong."""

EATEN = (
    *map(Named, ("Calendula", "CALENDULA", "Calendula 'Indian Prince'", "Pot marigold", "Calendula officinalis")),
    Named("Ringelblume", "Calendula officinalis"),
    Named("Souci orange", "Calendula officinalis"),
    Named("Sunset mix", "calendula officinalis"),
    *map(Named, ("Cornflower", "Cornflowers", "blue cornflower", "Cornflower 'Black Ball'", "Centaurea cyanus")),
    Named("Kornblume", "Centaurea cyanus"),
    Named("Bleuet", "Centaurea cyanus"),
    *map(Named, ("Viola", "Viola 'Sorbet'", "VIOLA TRICOLOR")),
    Named("Heartsease", "Viola tricolor"),
    Named("Veilchen", "Viola odorata"),
    Named("Borage", "Borago officinalis"),
)
"""Flowers that are commonly eaten, as growers type them."""
