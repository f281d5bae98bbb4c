"""How something was grown, in words."""

from __future__ import annotations

from haulm.farm.words import Method

METHOD_WORDS = {
    Method.HEATED: "sown on a heated bench",
    Method.COVER: "sown in trays under cover",
    Method.DIRECT: "sown where it flowered",
    Method.PLUGS: "bought in as young plants",
    Method.TUBER: "planted as bulbs, corms or tubers",
    Method.ESTABLISHED: "stood there already",
}
assert set(METHOD_WORDS) == set(Method), "every method has words"


def grown_in_words(method: Method | None, *, tunnel: bool) -> str:
    """How it was grown as a sentence, `Sown on a heated bench, in a tunnel.`; empty where nothing is said of it."""
    words = [*([METHOD_WORDS[method]] if method else []), *(["in a tunnel"] if tunnel else [])]
    said = ", ".join(words)
    return f"{said[:1].upper()}{said[1:]}." if said else ""
