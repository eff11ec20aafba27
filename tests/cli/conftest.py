from tests.cli.fixtures import demo, demo_home, shell  # noqa: F401
from tests.web.fixtures import *  # noqa: F403
