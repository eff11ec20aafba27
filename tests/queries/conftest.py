from tests.web.fixtures import *  # noqa: F403
