"""The circuit of a net: its sources, loads, supplies and cable. Every rule and every figure reads from here."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from operator import attrgetter

from model import electric
from model.bay.state import State
from model.room.kinds import ANALOGUE_PF_PER_M, DIGITAL_PF_PER_M
from model.room.wiring import NO_PORT, Mic, Port
from model.signal.lazy import lazy

_by_name = attrgetter("name")


class Circuit:
    """What one net is, electrically.

    For the sound: each output a voltage behind its impedance, each input an impedance to common, cable a capacitance, all in
    parallel. For phantom: each supply that is on, a voltage behind half its feed resistor; the microphones a current.
    """

    mics: Mapping[int, Mic] = {}  # of its microphone lines, by port: as it is when the circuit is made

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
        if state.mics and (mics := {index: state.mics[index] for index in on_net & state.mics.keys()}):
            self.mics = mics
        # The microphone inputs whose phantom supply is on, as it is when the circuit is made.
        self.supplies: list[Port] = []
        if len(self.outputs) > 1:
            self.outputs.sort(key=_by_name)
        if len(self.inputs) > 1:
            self.inputs.sort(key=_by_name)
        if (switches := state.switches) and self.inputs:
            self.supplies = [p for p in self.inputs if p.supply is not None and p.supply.switch in switches]

    @property
    def ports(self) -> list[Port]:
        """Outputs, then inputs."""
        return self.outputs + self.inputs

    def mic_on(self, port: Port) -> Mic | None:
        """The microphone that was put on a microphone line."""
        return self.mics.get(port.index)

    def source_ohm(self, port: Port) -> float:
        """The impedance of an output; of a microphone line, that of the microphone on it."""
        mic = self.mics.get(port.index)
        return port.ohms if mic is None else mic.ohms

    def assumed(self, port: Port) -> bool:
        """Whether a port's impedance is its kind's default rather than something the room file states."""
        return port.ohms_assumed and port.index not in self.mics

    @lazy
    def load_ohm(self) -> float:
        """All loads in parallel, ohm; infinite where there is none."""
        inputs = self.inputs
        return inputs[0].ohms if len(inputs) == 1 else electric.parallel_ohm([port.ohms for port in inputs])

    def loss_db(self, source: Port) -> float:
        """Loss, positive, of one output on all the net's loads, other outputs not counted."""
        return 0.0 - electric.level_db(self.source_ohm(source), self.load_ohm)

    def joined_loss_db(self, source: Port) -> float:
        """What one output loses more, positive, once the other outputs' impedances are across it as well."""
        others = [self.source_ohm(port) for port in self.outputs if port is not source]
        with_others = electric.level_with_others_db(self.source_ohm(source), self.load_ohm, others)
        return max(0.0, 0.0 - self.loss_db(source) - with_others)

    def split_loss_db(self, source: Port) -> float | None:
        """A digital output's level into its line's own impedance less its level into what is on the line; else None.

        Positive where the line is loaded too heavily, negative where too lightly.
        """
        line_ohm = source.kind.line_ohms
        if line_ohm is None or not self.inputs:
            return None
        ohm = self.source_ohm(source)
        return electric.level_db(ohm, line_ohm) - electric.level_db(ohm, self.end_ohm(source))

    def end_ohm(self, source: Port) -> float:
        """What one output's line ends in, ohm: all loads, and the other outputs' impedances across them."""
        others = [self.source_ohm(port) for port in self.outputs if port is not source]
        return electric.parallel_ohm([self.load_ohm, *others]) if others else self.load_ohm

    def extra_loss_db(self, source: Port) -> float:
        """What one output loses more, positive, on all the net's loads than on the lightest load alone."""
        lightest = max((port.ohms for port in self.inputs), default=math.inf)
        return self.loss_db(source) + electric.level_db(self.source_ohm(source), lightest)

    def ratio(self, source: Port) -> float:
        """All loads in parallel over the impedance of one output."""
        return self.load_ohm / self.source_ohm(source)

    def reflection(self, source: Port) -> float | None:
        """What a digital output's line sends back where it ends, signed; None for an analogue one and without a load."""
        line_ohm = source.kind.line_ohms
        return None if line_ohm is None or not self.inputs else electric.reflection(self.end_ohm(source), line_ohm)

    @staticmethod
    def step_db(source: Port, load: Port) -> float | None:
        """How much hotter an output is meant to be than an input, dB; None where one of them states no level."""
        if source.level_dbu is None or load.level_dbu is None:
            return None
        return source.level_dbu - load.level_dbu

    def level_on_line_dbu(self, source: Port) -> float | None:
        """The level of one output on the line, dBu, with all loads and the other outputs across it; None if not stated."""
        if source.level_dbu is None:
            return None
        return source.level_dbu - self.loss_db(source) - self.joined_loss_db(source)

    @lazy
    def draw_ma(self) -> float:
        """What the microphones on the net draw from phantom, mA."""
        return sum(mic.draws_ma for mic in self.mics.values())

    @lazy
    def feeds(self) -> list[tuple[float, float]] | None:
        """The supplies that are on: volts, and ohm in each leg; None where a feed resistor is not known."""
        found: list[tuple[float, float]] = []
        for port in self.supplies:
            if port.supply is not None:
                if port.supply.feed_ohm is None:
                    return None
                found.append((port.supply.volts, port.supply.feed_ohm))
        return found

    @lazy
    def line_v(self) -> float | None:
        """What the supplies that are on leave on the line, V; 0 without one; None where a feed resistor is not known."""
        return None if self.feeds is None else electric.phantom_line_v(self.feeds, self.draw_ma)

    @lazy
    def feed_ohm(self) -> float | None:
        """The supplies' legs in parallel (each feeds the line through two); None where a feed resistor is not known."""
        return None if self.feeds is None else electric.phantom_feed_ohm([feed_ohm for _, feed_ohm in self.feeds])

    @lazy
    def circulating_ma(self) -> float | None:
        """The largest current out of or into one of several supplies, mA; None where a feed resistor is not known."""
        return None if self.feeds is None else electric.phantom_circulating_ma(self.feeds)

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
