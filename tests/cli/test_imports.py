from tests.web.doors import Doors
from pathlib import Path
def test_x(doors: Doors):
    r=doors.cli("import","/tmp/halves.csv","--kind","halves",who="maren"); print(r.stdout, r.stderr)
    r=doors.cli("import","/tmp/halves.csv","--kind","halves","--days","day",who="maren"); print(r.stdout, r.stderr)
    assert 0
