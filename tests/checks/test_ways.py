"""Audio that goes round, and priority inputs with one source."""

from __future__ import annotations

import networkx as nx
from hypothesis import given, settings

from slinediag.checks.rest import Rest
from slinediag.checks.ways import cycles_at_rest
from slinediag.tracing.tracer import Tracer
from tests import oracle
from tests.builders import plant
from tests.checks.checking import fires, quiet
from tests.strategies import facilities


def chain(cord=""):
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [O]}}
          A: {{name: First, inputs: [I], outputs: [O], paths: straight}}
          B: {{name: Second, inputs: [I, J], outputs: [O], paths: all}}
        bays:
          PB:
            name: Bay
            positions: 3
            points:
              1: {{top: S.O, bottom: A.I}}
              2: {{top: A.O, bottom: B.I}}
              3: {{top: B.O, bottom: B.J, normal: none}}
        {cord}
        """
    )


def test_a_way_round_at_rest_is_a_danger():
    howling = chain("cords: [{from: PB.T3, to: PB.B1}]")
    finding = fires("feedback-at-rest", howling, "danger", "A.O", "B.I", "B.O", "A.I")
    assert finding.message == "Audio goes round at rest: A O – B I – B O – A I – A O."
    quiet("feedback-at-rest", chain())


def test_a_box_patched_to_itself_by_a_cord():
    fires("feedback-at-rest", chain("cords: [{from: PB.T3, to: PB.B3}]"), "danger", "B.O", "B.J")


@settings(max_examples=80, deadline=None)
@given(facilities())
def test_ways_round_are_found_just_where_networkx_finds_them(facility):
    fed = oracle.feeds(facility, oracle.contact_graph(facility, oracle.at_rest(facility)))
    graph = oracle.audio_graph(facility, fed, frozenset())
    on_cycles = {
        (a, b)
        for part in nx.strongly_connected_components(graph)
        for a, b in graph.edges
        if a in part and b in part and a[2] == "out"
    }
    tracer = Tracer(facility)
    outputs, inputs = tracer.circuit.outputs, tracer.circuit.inputs
    rest = Rest(tracer)
    told = {
        (tuple(outputs[o]), tuple(inputs[i])) for cycle in cycles_at_rest(rest) for o, i in cycle
    }
    normaled = {frozenset((n.source, n.target)) for n in facility.normals}
    carriers = facility.carriers
    own = {
        (tuple(o), tuple(i))
        for i in inputs
        for o in tracer.feeds(i)
        if o.equipment == i.equipment and frozenset((carriers.get(o), carriers.get(i))) in normaled
    }
    assert told <= on_cycles
    assert on_cycles - told <= own


def priority(keys="", points="1: {top: S.O, bottom: D.I}", more=""):
    return plant(
        f"""
        equipment:
          S: {{name: Source, outputs: [O]}}
          X: {{name: Other source, outputs: [O]}}
          MIX: {{name: Mixer, inputs: [A, B], outputs: [O], paths: all}}
          D: {{name: Destination, inputs: {{I: {{{keys}}}}}}}
        bays:
          PB: {{name: Bay, positions: 3, points: {{{points}}}}}
        {more}
        """
    )


def test_a_priority_input_with_one_source():
    fires("single-source", priority("priority: 1"), "note", "D", "D.I")
    quiet("single-source", priority())


def test_a_second_source_or_a_stand_in_will_do():
    quiet("single-source", priority("priority: 1, instead: [X.O]"))
    mixed = (
        "1: {top: S.O, bottom: MIX.A}, 2: {top: X.O, bottom: MIX.B}, 3: {top: MIX.O, bottom: D.I}"
    )
    quiet("single-source", priority("priority: 1", mixed))


def test_a_priority_input_on_no_jack():
    facility = priority("priority: 1", "1: {top: X.O}", "lines: {L1: {from: S.O, to: D.I}}")
    fires("single-source", facility, "warning", "D", "D.I")


def test_a_priority_input_at_the_end_of_a_silent_chain():
    chained = "1: {bottom: MIX.A}, 2: {bottom: MIX.B}, 3: {top: MIX.O, bottom: D.I}"
    fires("priority-silent", priority("priority: 1", chained), "error", "D", "D.I", "MIX.O")
    quiet("priority-silent", priority("", chained))
    quiet("priority-silent", priority("priority: 1"))
