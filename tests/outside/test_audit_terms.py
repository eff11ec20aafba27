"""The words of configuration management, as the standards use them.

Sources: ISO 10007:2017 (configuration audit: physical and functional; status accounting, clause 5.5) and EIA-649, as
quoted in the CMMI text on configuration management (chrguibert.free.fr) and the EIA-649 excerpt at globalspec.com:

- physical configuration audit: the as-built item against the documents that define it;
- functional configuration audit: tested performance against the requirement;
- audit of the records: actions are tracked to closure.

That a carnet covers duty and not the licence: published notes on carnets, as in the case `exp-carnet` of the handling
cases this project was given.
"""

import re

from registry.acts.audits import AGAINST
from registry.acts.catalogue import ACTS
from registry.domain.audits import SCOPES, VERDICTS, WHAT_IT_IS
from registry.domain.crossings import REMINDER
from registry.paths import TEMPLATES
from tests.craft.prose import of_code, of_templates


def test_an_audit_here_is_called_physical_and_says_what_that_is():
    assert WHAT_IT_IS.startswith("Physical configuration audit:")
    assert "read from the hardware first, and held against the record" in WHAT_IT_IS
    assert AGAINST.startswith("The record of pairs, stays and places")


def test_it_never_claims_to_be_a_functional_one():
    """Performance against a requirement is what verification tells; a certificate says that it is no part of it."""
    assert "perform" in WHAT_IT_IS
    assert WHAT_IT_IS.endswith("is no part of it.")
    said = [one.text for one in (*of_code(), *of_templates())]
    assert [text for text in said if re.search(r"functional (configuration )?audit", text, re.IGNORECASE)] == []
    verdicts = " ".join([*VERDICTS.values(), *SCOPES.values()])
    assert not re.search(r"pass|fail|perform|toleran", verdicts)


def test_both_kinds_of_page_say_which_audit_it_is():
    page = (TEMPLATES / "audits" / "audit.html").read_text(encoding="utf-8")
    assert "Physical configuration audit: as built against as documented." in page
    assert "sheet.what_it_is" in (TEMPLATES / "audits" / "certificate.html").read_text(encoding="utf-8")


def test_actions_are_tracked_to_closure_by_the_one_act_there_is_for_it():
    settling = [name for name, cls in ACTS.items() if cls.references.get("discrepancy")]
    assert settling == ["settle_discrepancy"]


def test_a_carnet_is_never_told_to_be_a_licence():
    field = ACTS["plan_crossing"].model_fields["carnet"]
    assert field.description == "It covers duty; it is no licence."
    assert REMINDER == "Reminder only. Ask your export officer."
    lede = (ACTS["plan_crossing"].__doc__ or "").split("\n\n")[0]
    assert REMINDER in lede
