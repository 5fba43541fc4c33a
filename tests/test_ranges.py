"""Ranges: what they stand for, and what is refused before it is made."""

import pytest

from model.text.ranges import MOST, RangeError, Stretch, TooMany, expand, points, stretch


@pytest.mark.parametrize(
    ("template", "names"),
    [
        ("Mix", ["Mix"]),
        ("Pre {1-3} out", ["Pre 1 out", "Pre 2 out", "Pre 3 out"]),
        ("Squash {L,R}", ["Squash L", "Squash R"]),
        ("Squash { L , R }", ["Squash L", "Squash R"]),
        ("{A,B}{1-2}", ["A1", "A2", "B1", "B2"]),
        ("Bus {1-2,5}", ["Bus 1", "Bus 2", "Bus 5"]),
        ("Ch {08-10}", ["Ch 08", "Ch 09", "Ch 10"]),
        ("Ch {0-2}", ["Ch 0", "Ch 1", "Ch 2"]),
        ("Ch {7}", ["Ch 7"]),
    ],
)
def test_names(template: str, names: list[str]) -> None:
    assert expand(template) == names


@pytest.mark.parametrize(
    ("template", "reason"),
    [
        ("Pre {1-16", "no '}' closes it"),
        ("Pre 1-16}", "no '{' opens it"),
        ("Pre {1-2}}", "no '{' opens it"),
        ("Pre {{1-2}", "no '}' closes it"),
        ("Pre {}", "empty place"),
        ("Pre {L,}", "empty place"),
        ("Pre {L-R}", "did you mean '{L,R}'?"),
        ("Pre {1-}", "not a range of numbers"),
        ("Pre {16-1}", "did you mean {1-16}?"),
    ],
)
def test_names_refused(template: str, reason: str) -> None:
    with pytest.raises(RangeError) as caught:
        expand(template)
    assert reason in str(caught.value)


@pytest.mark.parametrize(
    "template", ["{1-1000001}", "{1-2000}{1-2000}", "{1-" + "9" * 5000 + "}", "{1-600000,1-600000}"]
)
def test_too_many_names_are_refused_before_they_are_made(template: str) -> None:
    with pytest.raises(TooMany):
        expand(template)


def test_a_million_is_allowed() -> None:
    assert len(points(f"1-{MOST}")) == MOST


@pytest.mark.parametrize(
    ("text", "numbers"),
    [("5", [5]), ("1-4", [1, 2, 3, 4]), ("1-2, 9", [1, 2, 9]), ("9,1", [9, 1]), ("3 - 4", [3, 4]), ("7-7", [7])],
)
def test_points(text: str, numbers: list[int]) -> None:
    assert list(points(text)) == numbers


@pytest.mark.parametrize(
    "text", ["", "A1", "1-", "-1", "0", "0-4", "4-1", "1,,2", "1-2-3", "\u0663", "1.5", "1-1000002"]
)
def test_points_refused(text: str) -> None:
    with pytest.raises(RangeError):
        points(text)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("A5", Stretch("A", 5, 5)),
        ("A41-42", Stretch("A", 41, 42)),
        ("MR-C12", Stretch("MR-C", 12, 12)),
        ("MR-C12-16", Stretch("MR-C", 12, 16)),
        ("1A7", Stretch("1A", 7, 7)),
        ("Mix L", None),
        ("5", None),
        ("A", None),
        ("A-5", None),
        ("A5-", None),
        ("A" + "9" * 5000, None),
        ("A1-" + "9" * 5000, None),
        ("", None),
    ],
)
def test_stretch(text: str, found: Stretch | None) -> None:
    assert stretch(text) == found
