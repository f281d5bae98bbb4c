"""The farm's settings on one page, in groups; on an empty database the first of them begin the farm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fastapi import APIRouter, Request, Response

from haulm.errors import HaulmError
from haulm.farm.faults import Fault
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import NotAsSeen, Shown, check_seen
from haulm.jobs.farm.change_settings import change_settings
from haulm.language.words import _
from haulm.pages.doing import FIRST_SIGHT, Form, NotDone, PageDesk, PageRoute, TheForm, carried_out
from haulm.pages.look import back_to, page
from haulm.pages.rows.asking import seen_of
from haulm.pages.rows.forms import Asked, Drawn, Group, cells_from, drawn_field, merged, shown_of, typed_of
from haulm.pages.rows.names import Names
from haulm.pages.rows.page_words import Field
from haulm.pages.rows.setting_values import MINUTES, cells_of_site, settings_by_path, site_from_cells
from haulm.pages.rows.setting_words import FIELDS, GROUPS
from haulm.pages.rows.widgets import At, Number, Widget
from haulm.pages.rows.wrongs import said, said_plainly
from haulm.store.unit_of_work import UnitOfWork
from haulm.web.audience import Audience, only_for
from haulm.web.problems import status_of

router = APIRouter(include_in_schema=False, route_class=PageRoute, dependencies=[only_for(Audience.OWNER)])

_PATH = "/farm/settings"
_REQUIRED = ("name", "latitude")
_BLANK = cells_of_site(Site("", 0.0))
ASKED: Asked = tuple((field, field.widget or Widget()) for field in FIELDS.values())


@router.get(_PATH)
def settings(request: Request, desk: PageDesk) -> Response:
    """Every setting of the farm."""
    return _page(request, desk, None)


@router.post(_PATH)
def change(request: Request, desk: PageDesk, form: TheForm) -> Response:
    """Change the settings where they still stand as they were shown; what is refused stays in the form."""
    if not form.get("tag"):
        return _page(request, desk, form, why=NotDone(428, look_first=True))
    is_first = desk.store.is_empty()

    def act(work: UnitOfWork) -> None:
        farm = _nobodys() if is_first else work.farm
        at = At(Names(farm, desk.today()))
        check_seen(work, seen_of(form), lambda _work: _shown(farm.site, at))
        site, faults = site_from_cells(cells_from(ASKED, form, at))
        if site is None or faults:
            raise FolderRefused(faults=faults)
        change_settings(work, site, is_first=is_first)

    try:
        carried_out(request, form, act)
    except NotAsSeen as refusal:
        status = status_of(NotAsSeen, request.app.state.statuses)
        return _page(request, desk, form, why=NotDone(status, changed=refusal.changes))
    except HaulmError as refusal:
        return _page(request, desk, form, refusal=refusal)
    return back_to("/farm", "saved")


def _page(
    request: Request, desk: Desk, form: Form | None, *, why: NotDone = FIRST_SIGHT, refusal: HaulmError | None = None
) -> Response:
    farm = _nobodys() if desk.store.is_empty() else desk.store.farm()
    at = At(Names(farm, desk.today()))
    cells = _typed_cells(farm.site)
    typed = typed_of(ASKED, cells, at) if form is None else merged(ASKED, form, cells, at) if why.changed else form
    wrong, sentence = _wrong(refusal, at)
    return page(
        request,
        "rows_settings.html",
        status=why.status if refusal is None else status_of(type(refusal), request.app.state.statuses),
        groups=_groups(typed, at, wrong, request.query_params.get("open", "")),
        at=at,
        shown=_shown(farm.site, at),
        is_first=desk.store.is_empty(),
        why=why,
        wrong=wrong,
        sentence=sentence,
    )


def _nobodys() -> Farm:
    """What stands for a farm where there is none yet."""
    return Farm(Site("", 0.0))


def _shown(site: Site, at: At) -> Shown:
    return shown_of(_("The settings"), ASKED, cells_of_site(site), at)


def _typed_cells(site: Site) -> dict[str, str]:
    """What stands in the fields: a number that is everybody's is left to the placeholder, and a nameless farm's too."""
    cells = cells_of_site(site)
    usual = [name for name in cells if isinstance(_widget(name), Number) or FIELDS[name].empty]
    blank = [name for name in usual if cells[name] == _BLANK[name] and name not in _REQUIRED]
    return {**cells, **dict.fromkeys(blank if site.name else (*blank, *_REQUIRED), "")}


def _groups(typed: Form, at: At, wrong: Mapping[str, str], opened: str) -> tuple[Group, ...]:
    return tuple(
        Group(
            _(group.heading),
            tuple(_drawn(field, typed, at, wrong.get(field.name, "")) for field in group.fields),
            group.anchor,
            group.anchor == (opened or GROUPS[0].anchor),
        )
        for group in GROUPS
    )


def _drawn(field: Field, typed: Form, at: At, wrong: str) -> Drawn:
    widget = _widget(field.name)
    drawn = drawn_field(field, widget, typed, at, wrong)
    if not drawn.placeholder and field.name not in _REQUIRED:
        usual = widget.words(_BLANK[field.name], at)
        drawn = replace(drawn, placeholder=_("if empty: {what}").format(what=usual) if usual else "")
    return replace(drawn, is_required=field.name in _REQUIRED)


def _widget(name: str) -> Widget:
    return FIELDS[name].widget or Widget()


def _wrong(refusal: HaulmError | None, at: At) -> tuple[dict[str, str], str]:
    """A sentence for each setting that is wrong, and one for the rest."""
    if not isinstance(refusal, FolderRefused):
        return {}, "" if refusal is None else refusal.sentence
    found: dict[str, str] = {}
    rest: list[str] = []
    for fault in refusal.faults:
        name = MINUTES if (fault.column or "").startswith(MINUTES) else fault.column or ""
        if name in FIELDS:
            found.setdefault(name, _sentence(fault, name, at))
        else:
            rest.append(_sentence(fault, name, at))
    return found, " ".join(rest)


def _sentence(fault: Fault, name: str, at: At) -> str:
    labels = {path: f"\u201c{_(field.label)}\u201d" for path, field in FIELDS.items() if "_" in path or "." in path}
    setting = settings_by_path().get(name)
    accepted = fault.accepted
    if name in FIELDS and (name == MINUTES or (setting is not None and fault.accepted.startswith(setting.accepted))):
        accepted = _widget(name).accepted(at) or fault.accepted
    return said(said_plainly(fault.found, labels, at), said_plainly(accepted, labels, at))
