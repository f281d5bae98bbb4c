"""Every refusal has a stable code, a page that explains it, a status on the wire and a test that meets it."""

import re
import sys
from collections import Counter
from collections.abc import Mapping

from haulm.errors import HaulmError
from support.project_tree import ROOT, python_files, text_of
from support.rows_again import refusals

PAGE = "docs/reference/problems.md"
KEBAB_CASE = re.compile(r"[a-z]+(-[a-z]+)*")


def test_every_refusal_has_a_code_of_its_own_in_kebab_case() -> None:
    codes = {found.__qualname__: vars(found).get("code", "") for found in refusals()}

    assert codes
    assert {name: code for name, code in codes.items() if not KEBAB_CASE.fullmatch(code)} == {}
    assert [code for code, times in Counter(codes.values()).items() if times > 1] == []


def test_every_refusal_says_what_it_is_for() -> None:
    assert [found for found in refusals() if not vars(found).get("__doc__")] == []


def test_the_page_of_problems_has_a_heading_for_every_refusal_and_for_no_other() -> None:
    page = (ROOT / PAGE).read_text(encoding="utf-8")
    headings = set(re.findall(r"^#{2,} `?([a-z]+(?:-[a-z]+)*)`?$", page, re.MULTILINE))

    assert headings == {found.code for found in refusals()}


def test_every_refusal_has_a_status_on_the_wire() -> None:
    every = refusals()
    rooms = [module for name, module in sys.modules.items() if name.startswith(("haulm.web", "haulm.rest"))]
    mappings = [value for room in rooms for value in vars(room).values() if isinstance(value, Mapping)]
    classes = {key for mapping in mappings for key in mapping if isinstance(key, type) and issubclass(key, HaulmError)}

    assert [found for found in every if found not in classes] == []


def test_every_refusal_is_met_in_a_test() -> None:
    tests = "\n".join(text_of(path) for path in python_files("tests") if "house" not in path.parts)
    met = {found.__name__: rf"\b{found.__name__}\b|[\"'/]{re.escape(found.code)}[\"']" for found in refusals()}

    assert [name for name, pattern in met.items() if not re.search(pattern, tests)] == []
