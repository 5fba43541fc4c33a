"""The wiring of :func:`tests.generated.generated_room` as a room file's text, short with ranges or one line each."""

from __future__ import annotations

from collections.abc import Iterator

from tests.generated import (
    CORDS,
    CROSS_NORMALS,
    GEAR,
    HOUSE_PATCH,
    MICS,
    MULTS,
    NORMALS,
    POINTS,
    RUNS,
    SPARE_BAY,
    SPARE_PLACE,
    SPARE_ROWS,
    TIE_METRES,
    TIE_POINTS,
    GearPlan,
    NormalRun,
    PortPlan,
    Studio,
    bays_of,
    place_of,
    room_name,
    spare_points,
    studios,
)


def generated_text(jacks: int, seed: int = 1, *, one_line_each: bool = False) -> str:
    """The room file for a generated room; ValueError for a number of jacks that none has."""
    spare = spare_points(jacks)
    made = studios(jacks, seed)
    return "\n".join(_lines(made, spare, jacks, one_line_each)) + "\n"


def _lines(made: list[Studio], spare: int, jacks: int, one_line_each: bool) -> Iterator[str]:
    yield "bayhand: 1"
    yield f"room: {room_name(jacks)}"
    yield "gear:"
    for studio in made:
        for plan in GEAR:
            for labels in _parts(plan.labels, one_line_each):
                yield from _gear(studio, plan, labels)
    yield "mics:"
    for mic in MICS:
        needs = f", phantom: {mic.phantom_v:g}, draws: {mic.draws_ma:g}" if mic.phantom_v else ""
        yield f"  {mic.name}: {{ohms: {mic.ohms:g}{needs}{', harmed: yes' if mic.harmed else ''}}}"
    yield "bays:"
    for studio in made:
        for bay, rows in bays_of(studio):
            yield from _bay(studio, bay, rows, one_line_each)
    if spare:
        yield from (f"  - bay: {SPARE_BAY}", f"    place: {SPARE_PLACE}", f"    columns: {spare}", "    rows:")
        yield from (f"      {row}: {{}}" for row in SPARE_ROWS)
    yield "cross normals:"
    for studio in made:
        for run in CROSS_NORMALS:
            for first, last in _spans(run.first, run.last, one_line_each):
                points = span(first, last)
                ends = f"from: {studio.address(run.top, points)}, to: {studio.address(run.bottom, points)}"
                yield f"  - {{{ends}, kind: {run.kind}}}"
    if len(made) > 1:
        yield "ties:"
        for studio in made:
            yield from _ties(studio, one_line_each)
    yield "mults:"
    for studio in made:
        for number, (row, first, last) in enumerate(MULTS, 1):
            yield f"  - {{name: {studio.name('Mult', str(number))}, jacks: {studio.address(row, span(first, last))}}}"
    yield "cords:"
    yield from (f"  {length}: {count * len(made)}" for length, count in CORDS.items())
    yield "house patch:"
    for studio in made:
        yield from ("  - " + " > ".join(studio.address(row, point) for row, point in cord) for cord in HOUSE_PATCH)


def span(first: int, last: int) -> str:
    """Points as a room file writes them."""
    return str(first) if first == last else f"{first}-{last}"


def _spans(first: int, last: int, one_line_each: bool) -> list[tuple[int, int]]:
    return [(point, point) for point in range(first, last + 1)] if one_line_each else [(first, last)]


def _parts(labels: tuple[str, ...], one_line_each: bool) -> list[tuple[str, ...]]:
    return [(label,) for label in labels] if one_line_each else [labels]


def _several(labels: tuple[str, ...]) -> str:
    """Labels as they stand in a name: '4', '{1-12}', '{L,R}'."""
    if len(labels) == 1:
        return labels[0]
    return f"{{{labels[0]}-{labels[-1]}}}" if labels[0].isdigit() else f"{{{','.join(labels)}}}"


def _gear(studio: Studio, plan: GearPlan, labels: tuple[str, ...]) -> Iterator[str]:
    name = studio.name(plan.name, _several(labels))
    if len(plan.ports) == 1:
        yield f"  {name}: {_port(studio, plan.ports[0])}"
        return
    yield f"  {name}:"
    if plan.through is False:
        yield "    through: no"
    elif plan.through is not True:
        yield f"    through: {{{', '.join(f'{into}: [{out}]' for into, out in plan.through)}}}"
    for port in plan.ports:
        yield f"    {port.own}: {_port(studio, port)}"


def _port(studio: Studio, plan: PortPlan) -> str:
    ohms, cable_m = studio.choices[plan]
    stated = {
        "ohms": f"{ohms:g}" if ohms else "",
        "cable": f"{cable_m:g}" if cable_m else "",
        "phantom": f"{plan.phantom_v:g}" if plan.phantom_v else "",
        "switch": studio.name(plan.switch) if plan.switch else "",
    }
    details = "".join(f", {key}: {value}" for key, value in stated.items() if value)
    return f"{{is: {plan.kind}{details}}}" if details else plan.kind


def _bay(studio: Studio, bay: str, rows: tuple[str, str], one_line_each: bool) -> Iterator[str]:
    yield from (f"  - bay: {bay}", f"    place: {place_of(studio)}", f"    columns: {POINTS}", "    rows:")
    for row in rows:
        yield f"      {studio.address(row, '')}:"
        for run in RUNS:
            if run.row != row:
                continue
            first = run.first
            for labels in _parts(run.labels, one_line_each):
                port = f"{studio.name(run.name, _several(labels))} {run.own}".rstrip()
                yield f"        {span(first, first + len(labels) - 1)}: {port}"
                first += len(labels)
    yield "    normals:"
    for normals in NORMALS:
        if normals.top == rows[0]:
            yield from _normals(normals, one_line_each)


def _normals(run: NormalRun, one_line_each: bool) -> Iterator[str]:
    for first, last in _spans(run.first, run.last, one_line_each):
        yield f"      {span(first, last)}: {run.kind}"


def _ties(studio: Studio, one_line_each: bool) -> Iterator[str]:
    following = studio._replace(number=studio.next_number)
    first_point = TIE_POINTS[0]
    for first, last in _spans(TIE_POINTS[0], TIE_POINTS[-1], one_line_each):
        numbers = span(first - first_point + 1, last - first_point + 1)
        name = studio.name("Tie", numbers if first == last else f"{{{numbers}}}")
        ends = f"from: {studio.address('C', span(first, last))}, to: {following.address('D', span(first, last))}"
        yield f'  - {{name: "{name}", {ends}, metres: {TIE_METRES:g}}}'
