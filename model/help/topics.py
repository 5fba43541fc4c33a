"""The table of topics, and which one a word means."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from model.commands.table import COMMANDS
from model.help import bench, entries, findings, json_output, kinds, papers, record, rooms, rules
from model.help.topic import Topic
from model.text.clean import quoted
from model.text.normalized import normalized
from model.text.suggest import did_you_mean, listed, nearest


class Listed(NamedTuple):
    """A topic in the list: what it is about, and the function that makes it when it is asked for."""

    about: str
    made: Callable[[], Topic]


TOPICS: dict[str, Listed] = {
    "rooms": Listed("the room file: how a room's wiring is written down", rooms.topic),
    "kinds": Listed("kinds of port and of normal, and what is taken where a file states nothing", kinds.topic),
    "rules": Listed("warnings: when each is raised, and its figures", rules.topic),
    "findings": Listed("what is found in the wiring before any cord", findings.topic),
    "entries": Listed("all that can be typed at the bay", entries.topic),
    "bench": Listed("normals: the advice, plans, the work order and the proof", bench.topic),
    "papers": Listed("spreadsheets there and back, label strips, drawings, two rooms compared", papers.topic),
    "json": Listed("what the commands print for programs, and their exit statuses", json_output.topic),
    "record": Listed("what is kept where, several seats, and what is not promised", record.topic),
}


def help_for(word: str, topics: Mapping[str, Listed] = TOPICS) -> Topic | None:
    """What is to be read on a word: a command's forms, else the topic of that name; None where it is neither.

    >>> help_for("Undo").title
    'undo'
    >>> help_for("nothing of the kind")
    """
    key = normalized(word.strip())
    found = entries.topic_of_command(key)
    if found is None and key in topics:
        found = topics[key].made()
    return found


def not_found(word: str, topics: Mapping[str, Listed] = TOPICS) -> str:
    """What is said of a word on which there is nothing to read: the nearest words, and the topics.

    >>> not_found("jsn")
    "there is no help on 'jsn': did you mean 'json'? The topics are 'rooms', 'kinds', 'rules', 'findings', 'entries', \
'bench', 'papers', 'json' and 'record'"
    """
    meant = did_you_mean(nearest(word, (*topics, *COMMANDS)))
    return f"there is no help on {quoted(word)}{meant or '.'} The topics are {listed(topics)}"
