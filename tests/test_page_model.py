"""Two thousand designs through the page's own model: every view is told something, none breaks."""

import json

import pytest
from hypothesis import HealthCheck, given, settings

from app.session import Session
from app.views.hold import Hold
from tests.designs import DEMO, DESIGNS


@pytest.fixture(scope="module")
def hold(tmp_path_factory):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        session = Session()
        session.begin(DEMO)
        yield Hold(session)
        session.autosave.clear()


@settings(max_examples=2000, deadline=None, database=None, suppress_health_check=list(HealthCheck))
@given(DESIGNS)
def test_any_design_can_be_shown(hold, design):
    before = hold.seq
    hold.session.begin(design)
    hold.session.past.clear()
    assert hold.seq > before
    told = json.loads(hold.verdict.data, parse_constant=pytest.fail)
    assert told["bold"].endswith(".")
    for view in (hold.ladder, hold.section, hold.end_view, *hold.plots.values()):
        json.loads(view.data, parse_constant=pytest.fail)
