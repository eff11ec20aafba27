"""What every sheet of paper goes out as: one PDF, drawn as its address asks, to be looked at or saved."""

from collections.abc import Callable

import sqlalchemy as sa
from flask import Response, make_response

from registry import access
from registry.domain.times import stamp
from registry.output.sheets import Question
from registry.web.page import moment, past_query

#: Draws one sheet: of the thing with this id, for this question, printed at this instant.
Draw = Callable[[sa.Connection, str, Question, str], bytes]


def printed(name: str, draw: Draw, id_: str) -> Response:
    """The sheet of one thing, turned to the instant and the day its address names."""
    at, _known, _past = moment()
    question = Question(at, past_query().get("known_on"))
    with access.instance().database.reading() as db:
        return paper(name, draw(db, id_, question, stamp(access.now())))


def paper(name: str, pdf: bytes) -> Response:
    """A PDF that the browser shows, called `name` when it is saved."""
    response = make_response(pdf)
    response.headers["Content-Type"] = "application/pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
