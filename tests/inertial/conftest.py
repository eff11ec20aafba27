"""The first call of a property test loads scipy, which takes longer than any deadline."""

from hypothesis import settings

settings.register_profile("inertial", settings(), deadline=None)
settings.load_profile("inertial")
