"""Descriptions judged: the pack chosen by the work's date, its rules asked through both channels."""

import logging
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import cached_property, lru_cache
from itertools import count
from threading import Lock
from typing import Protocol

from msgspec import Struct

from bondwright.calculations.answer import CalculationAnswer
from bondwright.collecting import give_back, nothing_collected
from bondwright.compose.answer import Evaluation
from bondwright.compose.choices import chosen_date
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.errors import Contradiction, EngineDisagreement, Fault, UnknownName, UnreadableRules
from bondwright.evaluate.editions import also_usable, lawful
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.installation.documents import read_document
from bondwright.installation.reading import read_installation
from bondwright.installation.shapes import validator
from bondwright.installation.terms import Terms
from bondwright.members import replace
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.memory import Memory
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.shelf.declared.needed import demand_fit
from bondwright.shelf.declared.terms import Published, terms_of
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import in_order
from bondwright.shelf.words.sentences import undeclared_calculations

_log = logging.getLogger(__name__)


_GIVE_BACK_AFTER = 1_000


class Channels(Protocol):
    """Both channels of one pack."""

    def acts(self, stage: str, of: str, rows: Sequence[tuple[Facts, Facts]]) -> list[Acts]:
        """The rules that act on each row, known and as far as certain. Raises: EngineDisagreement, EngineFault."""
        ...

    def build(self) -> None:
        """Nothing, once the engine has taken every rule. Raises: EngineFault, if it refuses some."""
        ...

    @property
    def met(self) -> tuple[int, int]:
        """How many situations were asked about so far: answered from memory, and by both channels."""
        ...

    def close(self) -> None:
        """Frees what they hold."""
        ...


class Evaluated(Struct, frozen=True):
    """A description and what became of it; `body` is the evaluation as it is answered, stored and digested."""

    installation: Installation
    pack: RulePack
    evaluation: Evaluation
    body: bytes


class Judge:
    """Some packs, and the channels of those that were asked. May be shared between threads; close it at the end."""

    def __init__(
        self,
        packs: Sequence[PackHead],
        build_channels: Callable[[RulePack], Channels],
        withdrawn: Mapping[str, Withdrawal] | None = None,
        memory: Memory | None = None,
    ) -> None:
        """A pack's rules are read and its channels built when first needed. `withdrawn`: those of the packs that are, by pack_id.

        `memory`: what keeps conclusions, so that none is drawn twice; without one each evaluation has its own.
        """
        self.packs = in_order(packs)
        self.withdrawn = dict(withdrawn or {})
        self._build_channels, self._memory = build_channels, memory
        self._building, self._evaluated = Lock(), count(1)
        self._channels: dict[str, Channels] = {}
        self._terms_ever: dict[str, Terms] = {}
        self._in_use_on = lru_cache(self._found_in_use_on)

    @cached_property
    def terms(self) -> Terms:
        """What descriptions may say: what the packs that stand have of it. Raises: UnreadableRules."""
        return terms_of(pack for pack in self.packs if pack.pack_id not in self.withdrawn)

    @property
    def say(self) -> Sentences:
        """The sentences of the pack that calculates where none is named; where none is published, those of calculations as of before.

        Raises: UnreadableRules.
        """
        stand = any(pack.pack_id not in self.withdrawn for pack in self.packs)
        return self._newest().whole().say if stand else undeclared_calculations(rules_folder())

    def read_again(self, raw: bytes, kept: Published | None = None) -> Installation:
        """A recorded description, in the terms of every pack here, and of the one that is kept with it.

        Raises: as `read_installation`; UnreadableRules.
        """
        others = () if kept is None or any(pack.digest == kept.digest for pack in self.packs) else (kept,)
        digest = others[0].digest if others else ""
        if digest not in self._terms_ever:
            self._terms_ever[digest] = terms_of((*self.packs, *others))
        return read_installation(raw, self._terms_ever[digest])

    def pack(self, reference: str) -> RulePack:
        """The pack of that id or digest. Raises: UnknownName."""
        return self._head(reference).whole()

    def lawful(self, installation: Installation) -> tuple[PackHead, ...]:
        """The packs that may judge the work, the one to use last: at least one. Only a pack that is named judges where one is.

        Where none was in use on the day of the work, the newest of all. None of them is withdrawn.
        Raises: UnreadableRules, if nothing is published; Contradiction, if the pack that is named is not, or is withdrawn, or if the one
        to use on the day is withdrawn and its successor was not in use then.
        """
        if installation.rule_pack:
            return (self._named(installation.rule_pack),)
        field, day = chosen_date(installation)
        *others, pack = self._in_use_on(day)
        if isinstance(pack, Withdrawal):
            way_out = f"{pack.sentence()}, and was not in use on this day; to be judged by it all the same, name it in `rule_pack`"
            raise Contradiction((Fault("/".join(("", "work", field)), way_out),))
        return (*(other for other in others if not isinstance(other, Withdrawal)), pack)

    def usable(self, installation: Installation) -> frozenset[str]:
        """Ids of the packs among which the date of the work chooses; none, where there are none. Raises nothing."""
        if not self.packs:
            return frozenset()
        return frozenset(one.pack_id for one in self._in_use_on(chosen_date(installation)[1]) if not isinstance(one, Withdrawal))

    def editions(self, day: date) -> int:
        """How many packs judge work of that day. Raises nothing."""
        return sum(not isinstance(one, Withdrawal) for one in self._in_use_on(day)) if self.packs else 0

    def judging(self, installation: Installation) -> PackHead:
        """The pack that would judge the work today: where a withdrawn one is named, its successor. Raises as `lawful`."""
        for pack in self.packs:
            if installation.rule_pack in (pack.pack_id, pack.digest) and pack.pack_id in self.withdrawn:
                return self._head(self.withdrawn[pack.pack_id].successor)
        return self.lawful(installation)[-1]

    def evaluate(self, raw: bytes) -> Evaluated:
        """The answer to a description. Raises: Refused, EngineDisagreement, EngineFault."""
        with nothing_collected():
            installation = read_installation(raw, self.terms)
            *others, pack = (one.whole() for one in self.lawful(installation))
            used = self.judged(installation, pack)
            also = tuple(also_usable(used, other, self.judged(installation, other), pack.say) for other in reversed(others))
            evaluation = replace(used, pack=replace(used.pack, also_usable=also))
            evaluated = Evaluated(installation, pack, evaluation, evaluation_bytes(evaluation))
        if not next(self._evaluated) % _GIVE_BACK_AFTER:
            give_back()
        return evaluated

    def judged(self, installation: Installation, pack: RulePack) -> Evaluation:
        """What one pack says, and nothing of others.

        Raises: Contradiction, EngineDisagreement, EngineFault; UnreadableRules, if the pack lacks what is read by name.
        """
        try:
            with nothing_collected():
                return evaluate(installation, pack, self._channels_of(pack).acts, self._memory)
        except EngineDisagreement as error:
            _log.error("no verdict given: pack %s, stage %s: %s", pack.pack_id, error.stage, "; ".join(error.differences))
            raise

    def calculate(self, name: str, raw: bytes) -> CalculationAnswer:
        """The answer of a calculation. Raises: UnknownName; Refused; EngineDisagreement, EngineFault."""
        # Loaded here only: whoever evaluates a description has no use for the models of every calculation.
        from bondwright.calculations.catalogue import CALCULATIONS, calculate

        if name not in CALCULATIONS:
            raise UnknownName("calculation", name)
        calculation = CALCULATIONS[name]
        inputs, _ = read_document(raw, calculation.inputs, self.terms)
        pack = self._named(inputs.rule_pack) if inputs.rule_pack else self._newest().whole()
        return calculate(calculation, inputs, pack, self._channels_of(pack).acts)

    def situations(self) -> dict[str, tuple[int, int]]:
        """What the rules of each pack that was asked have met so far, by pack_id, see Channels."""
        with self._building:
            return {pack.pack_id: self._channels[pack.digest].met for pack in self.packs if pack.digest in self._channels}

    def ready(self, day: date) -> None:
        """Nothing, if descriptions can be read, and every pack that may judge the work of that day runs.

        What each evaluation needs is made here, so that nobody waits for it: it took three quarters of a first one (2026-11-30).
        Raises: UnreadableRules; EngineFault.
        """
        validator(Installation, self.terms)
        for pack in self._in_use_on(day):
            if isinstance(pack, Withdrawal):
                raise UnreadableRules("withdrawn.yaml", 1, 1, f"{pack.sentence()}, and is not in use on {day}; publish one that is")
            self._channels_of(pack.whole()).build()

    def prepare(self, pack: RulePack) -> None:
        """Nothing, if that pack runs. Raises: EngineFault."""
        self._channels_of(pack)

    def close(self) -> None:
        """Nothing, once the engine's memory is free."""
        with self._building:
            for channels in self._channels.values():
                channels.close()

    def _head(self, reference: str) -> PackHead:
        for pack in self.packs:
            if reference in (pack.pack_id, pack.digest):
                return pack
        raise UnknownName("rule pack", reference)

    def _named(self, reference: str) -> RulePack:
        try:
            pack = self._head(reference)
        except UnknownName:
            way_out = "no rule pack of this id or digest is published; leave it out, and the date of the work chooses"
            raise Contradiction((Fault("/rule_pack", way_out),)) from None
        if withdrawal := self.withdrawn.get(pack.pack_id):
            way_out = f"{withdrawal.sentence()}; name that, or leave it out, and the date of the work chooses"
            raise Contradiction((Fault("/rule_pack", way_out),))
        return pack.whole()

    def _found_in_use_on(self, day: date) -> tuple[PackHead | Withdrawal, ...]:
        newest = self._newest()
        return lawful(self.packs, day, self.withdrawn) or (newest,)

    def _newest(self) -> PackHead:
        """The newest pack that stands, of those that a date chooses if there is one. Raises: UnreadableRules, if nothing is published."""
        stand = [pack for pack in self.packs if pack.pack_id not in self.withdrawn]
        if not stand:
            raise UnreadableRules("published", 1, 1, "no rule pack is published; publish one")
        return ([pack for pack in stand if not pack.on_request] or stand)[-1]

    def _channels_of(self, pack: RulePack) -> Channels:
        with self._building:
            if pack.digest not in self._channels:
                demand_fit(pack)
                self._channels[pack.digest] = self._build_channels(pack)
            return self._channels[pack.digest]
