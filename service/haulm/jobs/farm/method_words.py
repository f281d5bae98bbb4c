"""How something was grown, in words."""

from __future__ import annotations

from haulm.farm.words import Method
from haulm.language.words import _, marked

METHOD_WORDS = {
    Method.HEATED: marked("sown on a heated bench"),
    Method.COVER: marked("sown in trays under cover"),
    Method.DIRECT: marked("sown where it flowered"),
    Method.PLUGS: marked("bought in as young plants"),
    Method.TUBER: marked("planted as bulbs, corms or tubers"),
    Method.ESTABLISHED: marked("stood there already"),
}
assert set(METHOD_WORDS) == set(Method), "every method has words"


def grown_in_words(method: Method | None, *, tunnel: bool) -> str:
    """How it was grown as a sentence, `Sown on a heated bench, in a tunnel.`; empty where nothing is said of it."""
    words = [*([_(METHOD_WORDS[method])] if method else []), *([_("in a tunnel")] if tunnel else [])]
    said = ", ".join(words)
    return f"{said[:1].upper()}{said[1:]}." if said else ""
