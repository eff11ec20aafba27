"""The plan: what a site works by, figure by figure, with the default and whose rule it is."""

from flask import Blueprint, Response, request

from registry import access
from registry.domain.times import stamp
from registry.queries import people, plans
from registry.web.fleet import found
from registry.web.page import render

bp = Blueprint("plans", __name__)


@bp.get("/plan")
def plan() -> Response:
    """The plan of all sites, or of one."""
    at, ref = stamp(access.now()), request.args.get("site", "")
    site_id = found("site", ref, at) if ref else None
    with access.instance().database.reading() as db:
        sites = people.sites_listed(db)
        groups = plans.plan_page(db, site_id, at)
    site = next((one for one in sites if one["id"] == site_id), None)
    return render("plans/plan.html", groups=groups, site=site, sites=sites)
