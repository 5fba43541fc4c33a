"""The circuit of a net: its sources, loads, supplies and cable. Every rule and every figure reads from here."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from operator import attrgetter

from model.bay.state import State
from model.room.kinds import ANALOGUE_PF_PER_M, DIGITAL_PF_PER_M
from model.room.wiring import NO_PORT, Mic, Port
from model.signal import electric
from model.signal.lazy import lazy

_by_name = attrgetter("name")


class Circuit:
    """What one net is, electrically.

    For the sound: each output a voltage behind its impedance, each input an impedance to common, cable a capacitance, all in
    parallel. For phantom: each supply that is on, a voltage behind half its feed resistor; the microphones a current.
    """

    def __init__(self, state: State, nodes: Sequence[int]) -> None:
        self.state = state
        self.nodes = nodes
        room = state.room
        port_at, ports, plugs = room.port_at, room.ports, state.plugs
        on_net = set()
        self.cords: set[int] = set()
        self.loose: list[int] = []  # jacks, of either contact on this net, that hold the only plug of a cord
        for node in nodes:
            jack = node >> 1
            number = plugs.get(jack)
            if number is not None:
                if len(state.cords[number].plugs) == 1:
                    self.loose.append(jack)
                elif not node & 1:
                    self.cords.add(number)
            if not node & 1:
                at = port_at[jack]
                if at != NO_PORT:
                    on_net.add(at)
        self.outputs: list[Port] = []
        self.inputs: list[Port] = []
        for index in on_net:
            port = ports[index]
            (self.outputs if port.kind.is_output else self.inputs).append(port)
        if len(self.outputs) > 1:
            self.outputs.sort(key=_by_name)
        if len(self.inputs) > 1:
            self.inputs.sort(key=_by_name)

    @property
    def ports(self) -> list[Port]:
        """Outputs, then inputs."""
        return self.outputs + self.inputs

    @lazy
    def supplies(self) -> list[Port]:
        """The microphone inputs whose phantom supply is on."""
        switches = self.state.switches
        return [p for p in self.inputs if p.supply is not None and p.supply.switch in switches] if switches else []

    def mic_on(self, port: Port) -> Mic | None:
        """The microphone that was put on a microphone line."""
        return self.state.mics.get(port.index)

    def source_ohm(self, port: Port) -> float:
        """The impedance of an output; of a microphone line, that of the microphone on it."""
        mic = self.state.mics.get(port.index)
        return port.ohms if mic is None else mic.ohms

    def assumed(self, port: Port) -> bool:
        """Whether a port's impedance is its kind's default rather than something the room file states."""
        return port.ohms_assumed and port.index not in self.state.mics

    @lazy
    def load_ohm(self) -> float:
        """All loads in parallel, ohm; infinite where there is none."""
        inputs = self.inputs
        return inputs[0].ohms if len(inputs) == 1 else electric.parallel_ohm([port.ohms for port in inputs])

    def loss_alone_db(self, source: Port) -> float:
        """Loss, positive, of one output on all the net's loads, other outputs not counted."""
        return 0.0 - electric.level_db(self.source_ohm(source), self.load_ohm)

    def loss_joined_db(self, source: Port) -> float:
        """Loss, positive, of one output on all loads and across the other outputs' impedances."""
        others = [self.source_ohm(port) for port in self.outputs if port is not source]
        return 0.0 - electric.level_with_others_db(self.source_ohm(source), self.load_ohm, others)

    def extra_loss_db(self, source: Port, among: Sequence[Port] | None = None) -> float:
        """What one output loses more, positive, on all the net's loads than on the lightest load alone.

        ``among`` are the inputs of which one is taken for that; without it, all.
        """
        lightest = max((port.ohms for port in (self.inputs if among is None else among)), default=math.inf)
        return self.loss_alone_db(source) + electric.level_db(self.source_ohm(source), lightest)

    def ratio(self, source: Port) -> float:
        """All loads in parallel over the impedance of one output."""
        return self.load_ohm / self.source_ohm(source)

    def reflection(self, source: Port) -> float | None:
        """What the loads send back into the line that a digital output expects, signed; None for an analogue one."""
        line_ohm = source.kind.line_ohms
        return None if line_ohm is None or not self.inputs else electric.reflection(self.load_ohm, line_ohm)

    @staticmethod
    def step_db(source: Port, load: Port) -> float | None:
        """How much hotter an output is meant to be than an input, dB; None where one of them states no level."""
        if source.level_dbu is None or load.level_dbu is None:
            return None
        return source.level_dbu - load.level_dbu

    def level_on_line_dbu(self, source: Port) -> float | None:
        """The level of one output on the line, dBu, with all loads and the other outputs across it; None if not stated."""
        return None if source.level_dbu is None else source.level_dbu - self.loss_joined_db(source)

    @lazy
    def draw_ma(self) -> float:
        """What the microphones on the net draw from phantom, mA."""
        mics = self.state.mics
        return sum(mics[p.index].draws_ma for p in self.outputs if p.index in mics)

    @lazy
    def line_v(self) -> float:
        """What the supplies that are on leave on the line, V; 0 without one."""
        feeds = [(p.supply.volts, p.supply.feed_ohm) for p in self.supplies if p.supply is not None]
        return electric.phantom_line_v(feeds, self.draw_ma) if feeds else 0.0

    @lazy
    def feed_ohm(self) -> float:
        """The supplies' feed resistors in parallel, half of each (its two legs feed the line together)."""
        return electric.phantom_feed_ohm([p.supply.feed_ohm for p in self.supplies if p.supply is not None])

    @lazy
    def cable_m(self) -> float:
        """All cable on the net, metres: gear's leads, tie lines, and cords of known length."""
        state = self.state
        metres = sum([p.cable_m for p in self.outputs]) + sum([p.cable_m for p in self.inputs])
        ties_at = state.room.ties_at
        if ties_at:
            ends = [node >> 1 for node in self.nodes if not node & 1 and node >> 1 in ties_at]
            metres += sum(tie.metres for tie in {tie for jack in ends for tie in ties_at[jack]})
        for number in self.cords:
            length = state.cords[number].length_cm
            if length is not None:
                metres += length / 100
        return metres

    @lazy
    def digital(self) -> bool:
        """Whether the net carries a digital or clock signal: one of its outputs does, or, without one, an input."""
        return any(p.kind.digital for p in self.outputs or self.inputs)

    @lazy
    def cable_farad(self) -> float:
        """The cable's capacitance, F."""
        return self.cable_m * (DIGITAL_PF_PER_M if self.digital else ANALOGUE_PF_PER_M) * 1e-12

    @lazy
    def parallel_ohm(self) -> float:
        """Sources and loads all in parallel, ohm: what the cable's capacitance sees."""
        return electric.parallel_ohm([*map(self.source_ohm, self.outputs), *(p.ohms for p in self.inputs)])

    @lazy
    def corner_hz(self) -> float:
        """Where the cable has cost 3 dB, Hz; infinite without cable."""
        return electric.corner_hz(self.parallel_ohm, self.cable_farad)

    @lazy
    def loss_20k_db(self) -> float:
        """What the cable costs at 20 kHz, dB."""
        return electric.lowpass_loss_db(20_000.0, self.corner_hz)


def names(ports: Iterable[Port]) -> tuple[str, ...]:
    """Ports' full names, sorted."""
    return tuple(sorted(port.name for port in ports))
