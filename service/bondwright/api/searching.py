"""What a search asks for, read from the query of a request: strictly, each fault at its parameter."""

import json
from collections.abc import Collection
from datetime import date
from typing import Annotated, Any, Literal

from fastapi import Request
from pydantic import BaseModel, ConfigDict, Field, field_validator
from pydantic_core import PydanticCustomError

from bondwright.audit.record import Search
from bondwright.errors import Contradiction, Fault, NotTheSchema
from bondwright.installation.documents import IN_OUR_WORDS, read_document

MOST = 100
"""Entries on a page, at most."""
USUAL = 20
"""Entries on a page, if nothing is asked for."""

_INSTANT = r"T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]\.[0-9]{3}Z"
_YEAR = "([0-9]{3}[1-9]|[0-9]{2}[1-9][0-9]|[0-9][1-9][0-9]{2}|[1-9][0-9]{3})"
_LEAP = "([0-9]{2}(0[48]|[2468][048]|[13579][26])|(0[48]|[2468][048]|[13579][26])00)"
_DAY = "((0[13578]|1[02])-(0[1-9]|[12][0-9]|3[01])|(0[469]|11)-(0[1-9]|[12][0-9]|30)|02-(0[1-9]|1[0-9]|2[0-8]))"
_EXISTS = f"^({_YEAR}-{_DAY}|{_LEAP}-02-29)({_INSTANT})?$"
"""Days that the calendar has, as the document tells of them; what is read tells which mistake it was."""

_WHEN = Field(
    pattern=rf"^[0-9]{{4}}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])({_INSTANT})?$",
    examples=["2026-11-25", "2026-11-25T09:30:00.000Z"],
    json_schema_extra={"pattern": _EXISTS},
)
_CURSOR = Field(pattern="^[0-7][0-9a-f]{15}$")


class Asked(BaseModel):
    """The query of a search, as text; what is left out asks for nothing."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    reference: Annotated[str | None, Field(description="The describer's own reference, whole.")] = None
    pack: Annotated[str | None, Field(description="Id of the rule pack that decided, or its digest.")] = None
    rule: Annotated[str | None, Field(description="Id of a rule that some verdict or size rests on.")] = None
    clause: Annotated[str | None, Field(description="A clause that some verdict or size rests on, as reasons write it.")] = None
    outcome: Annotated[str | None, Field(description="Together with `worst_case`: an outcome with the worst case of some verdict.")] = None
    worst_case: Annotated[
        str | None,
        Field(
            description="Together with `outcome`: the most cautious level that was not excluded, in answers of every form; `not_judged`"
            " where no rule covered what it is about."
        ),
    ] = None
    recorded_from: Annotated[Annotated[str, _WHEN] | None, Field(description="Recorded then or later: a day or an instant, UTC.")] = None
    recorded_to: Annotated[Annotated[str, _WHEN] | None, Field(description="Recorded before then: a day or an instant, UTC.")] = None
    rests_on_withdrawn: Annotated[Literal["yes"] | None, Field(description="Only those whose rule pack was withdrawn since.")] = None
    limit: Annotated[
        Annotated[str, Field(pattern="^([1-9][0-9]?|100)$", examples=["20", "100"])] | None,
        Field(description=f"Entries on a page, {USUAL} if left out."),
    ] = None
    after: Annotated[Annotated[str, _CURSOR] | None, Field(description="Where to go on: `next` of the page before.")] = None

    @field_validator("recorded_from", "recorded_to")
    @classmethod
    def _day_exists(cls, text: str | None) -> str | None:
        if text is not None:
            try:
                date.fromisoformat(text[: len("2026-11-25")])
            except ValueError:
                words = "there is no such day; write one that the calendar has, such as 2026-11-25"
                raise PydanticCustomError(IN_OUR_WORDS, words) from None
        return text

    def search(self, withdrawn: Collection[str]) -> Search:
        """What is to be found. `withdrawn`: ids of the packs that are."""
        level = None if self.outcome is None or self.worst_case is None else (self.outcome, self.worst_case)
        packs = tuple(withdrawn) if self.rests_on_withdrawn else None
        return Search(self.reference, self.pack, self.rule, self.clause, level, self.recorded_from, self.recorded_to, packs)

    @property
    def page(self) -> tuple[int, int]:
        """The counter to go on after, and how many entries are wanted."""
        return int.from_bytes(bytes.fromhex(self.after or "")), int(self.limit or USUAL)


def read_query(request: Request) -> Asked:
    """What the query of `request` asks for; a fault's pointer is a slash and the name of the parameter.

    Raises: NotTheSchema; Contradiction, if of `outcome` and `worst_case` one is left out.
    """
    given: dict[str, str] = {}
    for name, value in request.query_params.multi_items():
        if name in given and name in Asked.model_fields:
            raise NotTheSchema((Fault(f"/{name}", "given more than once; give it once"),))
        given[name] = value
    asked, _ = read_document(json.dumps(given).encode(), Asked)
    if (asked.outcome is None) != (asked.worst_case is None):
        missing, there = ("outcome", "worst_case") if asked.outcome is None else ("worst_case", "outcome")
        raise Contradiction((Fault(f"/{missing}", f"needed where `{there}` is given"),))
    return asked


def cursor(counter: int) -> str:
    """What asks for the page after `counter`."""
    return f"{counter:016x}"


def parameters() -> list[dict[str, Any]]:
    """The parameters as the OpenAPI document declares them."""
    declared = []
    for name, schema in Asked.model_json_schema()["properties"].items():
        own = next(one for one in schema["anyOf"] if one["type"] != "null")
        if name == "limit":
            own = {"type": "integer", "minimum": 1, "maximum": MOST, "default": USUAL}
        declared.append({"name": name, "in": "query", "required": False, "description": schema["description"], "schema": own})
    return declared
