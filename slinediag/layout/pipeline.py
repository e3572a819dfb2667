"""The whole way from a graph to its layout, step by step."""

from __future__ import annotations

from dataclasses import replace

from slinediag.layout.finish import finish
from slinediag.layout.graph import Graph, problems_of
from slinediag.layout.keeping import calmer
from slinediag.layout.layers import layer
from slinediag.layout.layout import Layout
from slinediag.layout.nets import wire
from slinediag.layout.order import orders
from slinediag.layout.place import place
from slinediag.layout.polish import fewer, polish
from slinediag.layout.route import route
from slinediag.layout.settings import Settings
from slinediag.layout.spares import add_spares
from slinediag.problems import RequestError


def arrange(graph: Graph, settings: Settings | None = None) -> Layout:
    """Arrange a graph; the same graph and settings give the same layout.

    Raises RequestError, with every problem of the graph, where it cannot be drawn.
    """
    problems = problems_of(graph)
    if problems:
        raise RequestError(problems)
    settings = settings or Settings()
    wiring = wire(graph)
    layered = layer(wiring)
    found, *quickly = orders(layered, settings)
    ordered = polish(found, settings)
    if settings.previous:
        ordered = calmer(found, ordered, settings.previous)
    for other in quickly:
        ordered = fewer(ordered, polish(other, replace(settings, effort="quick")))
    placed = place(ordered, settings)
    filled = add_spares(placed, settings)
    routed = route(filled, settings)
    return finish(routed, settings)
