"""What a request says it saw: the tag in If-Match, and the figures, to be told what has changed."""

from __future__ import annotations

from typing import Annotated

from fastapi import Header
from pydantic import ConfigDict, Field

from haulm.jobs.desk.seen import ANY_TAG, ANYHOW, Seen
from haulm.rest.wire import MOST_AT_ONCE, Ask

IfMatch = Annotated[
    str | None, Header(alias="If-Match", description="The ETag that was seen; if it is another by now, 412.")
]


class SeenAsk(Ask):
    """The figures as they were seen; those of the GET can be handed back as they are."""

    model_config = ConfigDict(json_schema_extra={"examples": [{"seen": {}}]})

    seen: dict[str, str] = Field(
        default_factory=dict, max_length=MOST_AT_ONCE, description="What was seen, so that a 412 says what it was."
    )


def seen_under(if_match: str | None, body: SeenAsk | None = None) -> Seen:
    """What a request saw; without If-Match its step is done as things stand."""
    return ANYHOW if if_match is None else Seen(bare_tag(if_match), (body or SeenAsk()).seen)


def bare_tag(given: str) -> str:
    """A tag without its quotes."""
    bare = given.strip()
    return bare if bare == ANY_TAG else bare.removeprefix("W/").strip('"')
