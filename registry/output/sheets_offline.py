"""Every settings sheet in one file that compares a read-back by itself, for where there is no network.

The file carries the day it was made and the size and root of the log: what was written since is not in it, and it says so.
"""

import base64
import json
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from markupsafe import Markup, escape

from registry.acts import log
from registry.domain.readbacks import KnownSheet
from registry.domain.times import say
from registry.models.known_sheets import known_sheets

_SCRIPT = Path(__file__).with_name("sheets_offline.js")
_STYLE = (
    "body{font:17px/1.5 system-ui,sans-serif;max-width:40rem;margin:0 auto;padding:1rem;background:#fff;color:#000}"
    "label{display:block;font-weight:700}input,select{font:inherit;width:100%;box-sizing:border-box;min-height:3rem;border:2px solid}"
    "#answer{position:sticky;top:0;background:#fff;border:4px solid;padding:.75rem}#answer:not([data-verdict=agrees]){border-style:dashed}"
    "#answer[data-verdict=other_bay],#answer[data-verdict=other_version],#answer[data-verdict=no_sheet]{background:#000;color:#fff;border-style:solid}"
)


def sheets_told(sheets: list[KnownSheet]) -> list[dict[str, Any]]:
    """The sheets as the script reads them."""
    return [
        {
            "id": one.id, "bay": one.bay_id, "said": one.bay, "version": one.version, "checksum": one.checksum,
            "values": [{"name": name, "value": value, "unit": unit} for name, (value, unit) in one.values.items()],
        }
        for one in sheets
    ]  # fmt: skip


def script() -> str:
    """The comparison, as it stands in the file."""
    return _SCRIPT.read_text("utf-8")


def offline_page(db: sa.Connection, at: str) -> str:
    """The whole file, with every sheet that holds at the instant."""
    sheets, head = known_sheets(db, at), log.head(db)
    root = base64.b64encode(log.root(db, head.size)).decode()
    told = f"{len(sheets)} sheets as they stood on {say(at)}, log size {head.size:,}, root {root}. What was written since is not in it."
    return page_of(sheets, told)


def page_of(sheets: list[KnownSheet], told: str) -> str:
    """These sheets as one file; `told` says how they stood and when."""
    newest = {sheet.bay_id: sheet for sheet in reversed(sheets)}
    options = Markup("").join(
        Markup('<option value="{}">{}</option>').format(sheet.id, sheet.say())
        for sheet in sheets
        if newest[sheet.bay_id] is sheet
    )
    # `<` inside a script could end it; JSON reads its number as the same.
    data = json.dumps(sheets_told(sheets), ensure_ascii=False).replace("<", "\\u003c")
    how = "Choose the bay, and type three or more values as the unit shows them. Nothing is sent; enter the read-back when there is a network."
    asks = (
        f'<p>{how}</p><p><label for="bay">The unit sits in</label><select id="bay">{options}</select></p>'
        '<p id="answer" role="status"><strong></strong> <span></span></p><div id="values"></div></main>'
        f'<script type="application/json" id="sheets">{data}</script><script>{script()}</script></html>'
    )
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">'
        f"<title>Settings sheets, without a network</title><style>{_STYLE}</style><main><h1>Whose settings are these?</h1>"
        f"<p>{escape(told)}</p>{asks if sheets else '<p>There is no sheet yet.</p></main></html>'}"
    )
