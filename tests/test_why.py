"""`why`: silence and its breaks on random rooms against networkx, fixes that fix, and known answers."""

from __future__ import annotations

from pathlib import Path
from random import Random

import networkx as nx
import pytest

from model.live.change import Change
from model.room.file import read_room
from model.room.inside import ARMED
from model.room.wiring import Port
from model.session import Session
from model.way.joints import walk
from model.way.silence import missing
from model.way.why import RULES
from tests.flow_judge import carried_pairs, conditions, flow_graph, patched, room_of
from tests.said import read, words_of
from tests.slow_model import SlowBay

KELPFIELD = read_room(Path(__file__).parent.parent / "rooms" / "kelpfield.yaml")
SEEDS = range(60)
SOURCE = -1


def starts(slow: SlowBay) -> set[int]:
    """Outputs to which gear carries nothing, or only what comes in on an armed track: where signal starts."""
    fed = {out for (_, out), hangs in carried_pairs(slow.room).items() if hangs != ARMED}
    return {port.index for port in slow.room.ports if port.kind.way == "out" and port.index not in fed}


def way_up(slow: SlowBay) -> nx.DiGraph[tuple[str, int]]:
    """Contacts and ports, each leading to what may feed it: at no cost over what is joined, at 1 through a plugged jack."""
    room, held = slow.room, slow.held()
    graph: nx.DiGraph[tuple[str, int]] = nx.DiGraph()
    for a, b in slow.edges():
        graph.add_edge(("contact", a), ("contact", b), cost=0)
        graph.add_edge(("contact", b), ("contact", a), cost=0)
    for jack in room.jacks:
        line, normal = ("contact", 2 * jack.index), ("contact", 2 * jack.index + 1)
        if jack.address in held:
            graph.add_edge(line, normal, cost=1)
            graph.add_edge(normal, line, cost=1)
        if jack.port >= 0 and room.ports[jack.port].kind.way == "out":
            graph.add_edge(line, ("port", jack.port), cost=0)
        elif jack.port >= 0:
            graph.add_edge(("port", jack.port), line, cost=0)
    for entry, out in carried_pairs(room):
        graph.add_edge(("port", out), ("port", entry), cost=0)
    for source in starts(slow):
        graph.add_edge(("port", source), ("source", SOURCE), cost=0)
    return graph


def inputs(session: Session) -> list[Port]:
    return [p for p in session.room.ports if p.kind.way == "in" and session.room.jacks_of_port[p.index]]


@pytest.mark.parametrize("seed", SEEDS)
def test_silence_is_found_where_no_source_leads(seed: int) -> None:
    """Silent is what has no source among its ancestors; its breaks are the fewest that keep one away."""
    rng = Random(seed)
    session, slow = patched(room_of(rng), rng, rng.randrange(9))
    graph, up = flow_graph(slow), way_up(slow)
    for port in inputs(session):
        found = session.enter(f"why {port.name}")
        assert found.ok, found.error
        said = {finding["finding"]: finding for finding in found.answer.extra["why"]["findings"]}
        sources = nx.ancestors(graph, port.index) & starts(slow)
        assert ("silent" in said) == (not sources)
        if sources:
            sure = nx.DiGraph(graph)
            sure.remove_edges_from([(a, b) for a, b, hangs in conditions(graph) if hangs])
            certain = nx.ancestors(sure, port.index) & sources
            names = [[session.room.ports[s].name for s in sorted(found)] for found in (certain, sources - certain)]
            assert [said["fed"]["sources"], said["fed"]["possible"]] == names
            continue
        contacts = [2 * jack for jack in session.room.jacks_of_port[port.index]]
        lengths = [
            nx.shortest_path_length(up, ("contact", contact), ("source", SOURCE), weight="cost")
            for contact in contacts
            if ("contact", contact) in up and nx.has_path(up, ("contact", contact), ("source", SOURCE))
        ]
        nearest = missing(session.patch.state, contacts)
        assert (nearest is None) == (not lengths)
        if nearest is not None:
            assert len(nearest.breaks) == min(lengths) > 0
            for broken in nearest.breaks:
                assert session.patch.state.plugs[broken.jack] == broken.cord
                assert broken.jack in (broken.normal.top, broken.normal.bottom)
            assert len(said["silent"]["breaks"]) == len(nearest.breaks)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_offered_cures(seed: int) -> None:
    """Each fix is typed: what was silent is fed, what was joined has one source, what was split one load; warnings are gone."""
    rng = Random(seed)
    session, _ = patched(room_of(rng), rng, rng.randrange(2, 9))
    for port in inputs(session):
        for finding in session.enter(f"why {port.name}").answer.extra["why"]["findings"]:
            if finding["fix"] is None:
                continue
            before = len(session.now.taken)
            for line in finding["fix"].split("; "):
                assert session.enter(line).ok, line
            now = SlowBay(session.room)
            now.cords = {
                n: [session.room.jacks[j].address for j in cord.plugs] for n, cord in session.patch.state.cords.items()
            }
            net = next(net for net in now.nets() if port.name in net)
            outs = now.outputs(net)
            if finding["finding"] == "silent":
                assert nx.ancestors(flow_graph(now), port.index) & starts(now)
            elif finding["finding"] == "more than one source":
                assert len(outs) == 1
            elif finding["finding"] == "split":
                assert len(net - outs) == 1
                assert outs
            elif finding["finding"] == "warning":
                about = {*finding["ports"], *finding["jacks"]}
                left = [w for w in session.patch.standing_warnings() if w.rule == finding["rule"]]
                assert not any(about.intersection(w.ports + w.jacks) for w in left)
            while len(session.now.taken) > before:
                assert session.enter("undo").ok


def findings(session: Session, typed: str) -> list[tuple[str, str, str | None]]:
    outcome = session.enter(typed)
    assert outcome.ok, outcome.error
    return [(f["finding"], f["text"], f["fix"]) for f in outcome.answer.extra["why"]["findings"]]


def test_a_loose_end_that_silences_the_monitors() -> None:
    """The commonest fault on a bay (common practice, no source): a cord with one end in nobody's jack."""
    session = Session(KELPFIELD)
    session.enter("plug H45")
    kind, text, fix = findings(session, "why monitor l")[0]
    assert (kind, fix) == ("silent", "pull #1")
    assert "G45 > H45 is open, because a plug of cord 1 (its other end is loose) is in H45" in text
    assert session.enter("why monitor l").answer.offers[0] == "pull #1"


def test_the_first_break_is_told_through_gear() -> None:
    """Two breaks, one behind a preamplifier: the one nearer to the source is told first."""
    session = Session(KELPFIELD)
    for line in ("plug B20", "plug D20"):
        session.enter(line)
    kind, text, fix = findings(session, "why rec 20 in")[0]
    assert kind == "silent"
    assert text.index("B20 is open") < text.index("D20 is open")
    assert fix == "pull #1; pull #2"


def test_two_sources_are_named_with_their_ways() -> None:
    session = Session(KELPFIELD)
    session.enter("K5 > K1")
    told = {kind: (text, fix) for kind, text, fix in findings(session, "why effects 1")}
    text, fix = told["more than one source"]
    assert "Aux 1 (K1 > K5, cord 1, then K5 > L5, half normal, closed)" in text
    assert "Plate L (K5 > L5, half normal, closed)" in text
    assert fix == "pull #1"


def test_a_split_names_its_loads() -> None:
    session = Session(KELPFIELD)
    session.enter("tallow 2 out > fennel 1 in")
    kind, text, fix = findings(session, "why tallow 2 out")[1]
    assert kind == "split"
    assert "Desk 2 line" in text
    assert "Fennel 1 in" in text
    assert fix == "pull #1"


def test_an_output_that_feeds_nothing_says_which_plug() -> None:
    session = Session(KELPFIELD)
    session.enter("plug D3")
    assert ("feeds nothing", "Tallow 3 out feeds nothing: C3 > D3, half normal, open: cord 1 is in D3.", "pull #1") in (
        findings(session, "why tallow 3 out")
    )


def test_a_condenser_without_phantom() -> None:
    """The warning before it on the way is told, and phantom is offered; monitors down is said with it."""
    session = Session(KELPFIELD)
    session.enter("put condenser on hall 4")
    kind, text, fix = findings(session, "why tallow 4 in")[-1]
    assert (kind, fix) == ("warning", "phantom Tallow 4 in on")
    assert "Monitors and headphones down" in text


def test_a_cure_that_touches_phantom_is_preceded_by_its_caution() -> None:
    session = Session(KELPFIELD)
    for line in ("hall 5 > tallow 6 in", "phantom tallow 6 in on", "hall 5 > tallow 7 in"):
        session.enter(line)
    session.enter("pull #1")
    session.enter("plug A5 > B6 and B7")
    words = words_of(session.enter("why double-load"))
    caution = next(i for i, line in enumerate(words) if line.startswith("  caution:"))
    assert "half a minute" in words[caution]
    assert words[caution + 1].startswith("  fix:")


def test_what_is_kept_is_no_cure() -> None:
    """A line that would break a kept connection is not offered."""
    session = Session(KELPFIELD)
    session.enter("tallow 2 out > fennel 1 in")
    session.enter("guard tallow 2 out > fennel 1 in")
    assert findings(session, "why tallow 2 out")[1][2] is None


def test_a_rule_that_does_not_stand() -> None:
    for rule in sorted(RULES):
        assert words_of(Session(KELPFIELD).enter(f"why {rule}")) == (f"No {rule} stands.",)


@pytest.mark.parametrize(
    "typed", ["why A5", "why monitor l", "why #1", "why joined-outputs", "why tie 2", "why mult 1"]
)
def test_a_question_reads_itself_back_and_changes_nothing(typed: str) -> None:
    session = Session(KELPFIELD)
    session.enter("A3 > B4")
    line = read(typed, session.names)
    assert read(str(line), session.names) == line
    plugs, standing = dict(session.patch.state.plugs), dict(session.patch.standing)
    outcome = session.enter(typed)
    assert outcome.ok
    assert outcome.change == Change()
    assert (session.patch.state.plugs, session.patch.standing) == (plugs, standing)
    assert set(outcome.answer.lit) == {
        c >> 1 for c in walk(session.patch.state, [2 * j for j in outcome.answer.lit]) if not c & 1
    }
